use std::time::Instant;

use colour::{Lab, delta_e_00};
use icc::{OutputProfile, OutputTransform, RenderingIntent};
use inkfathom_profile_making::ProfileMaking;
use inkset::{InkSet, builtin};
use separation::{Separation, SeparationInputs};
use units::DeviceValue;

fn samples() -> Vec<Lab> {
    let mut all = Vec::new();
    let mut seed = 1_u64;
    let mut next = || {
        seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (seed >> 33) as f64 / (1_u64 << 31) as f64
    };
    for _ in 0..3000 {
        all.push(Lab {
            l: 5.0 + 93.0 * next(),
            a: 120.0 * next() - 60.0,
            b: 120.0 * next() - 60.0,
        });
    }
    for _ in 0..500 {
        all.push(Lab { l: 3.0 + 97.0 * next(), a: 6.0 * next() - 3.0, b: 6.0 * next() - 3.0 });
    }
    all
}

#[test]
fn scratch() {
    for name in ["five", "nine", "eleven"] {
        let set = builtin(name).unwrap().parse().unwrap().set;
        let inputs = SeparationInputs::defaults(&set).unwrap();
        let path = format!("/tmp/try/{name}.sep");
        let t = Instant::now();
        let separation =
            std::fs::read(&path).ok().and_then(|b| inputs.restore(&b)).unwrap_or_else(|| {
                let s = inputs.build().unwrap();
                std::fs::write(&path, s.to_bytes(&inputs)).unwrap();
                s
            });
        println!("{name} separation {:?}", t.elapsed());
        let t = Instant::now();
        let making = ProfileMaking {
            separation: &separation,
            set: &set,
            substrate: inputs.substrate,
            mode: inputs.mode,
        };
        let bytes = making.profile([2026, 1, 1, 0, 0, 0]).to_bytes();
        println!("made {:?} {} bytes", t.elapsed(), bytes.len());
        std::fs::write(format!("/tmp/try/{name}.icc"), &bytes).unwrap();
        let profile = OutputProfile::parse(&bytes).unwrap();
        println!(
            "{} {:?} {:?} {:?}",
            profile.description(),
            profile.space(),
            profile.colorant_names(),
            profile.media_white()
        );
        let transform =
            OutputTransform::new(&profile, RenderingIntent::RelativeColorimetric).unwrap();
        measure(&set, &inputs, &separation, &transform);
    }
}

fn measure(
    set: &InkSet,
    inputs: &SeparationInputs<'_>,
    separation: &Separation,
    transform: &OutputTransform,
) {
    let active: Vec<usize> =
        (0..set.inks.len()).filter(|&c| !set.is_idle(&set.inks[c], inputs.substrate)).collect();
    let mut errors = Vec::new();
    let mut sums = vec![[0.0_f64; 4]; active.len()];
    let mut count = 0.0;
    for colour in samples() {
        let separated = separation.separate(colour);
        let values: Vec<DeviceValue> = active
            .iter()
            .map(|&c| DeviceValue::from_fraction(separated.coverages[c].to_fraction()).unwrap())
            .collect();
        errors.push(delta_e_00(separation.predict(&separated), transform.to_lab(&values)));
        if delta_e_00(separation.predict(&separated), colour) > 1.0 {
            continue;
        }
        let theirs = transform.to_device(colour);
        for (sum, (ours, theirs)) in sums.iter_mut().zip(values.iter().zip(&theirs)) {
            sum[0] += ours.to_fraction();
            sum[1] += theirs.to_fraction();
            sum[2] += (ours.to_fraction() - theirs.to_fraction()).abs();
            sum[3] = sum[3].max((ours.to_fraction() - theirs.to_fraction()).abs());
        }
        count += 1.0;
    }
    errors.sort_by(f64::total_cmp);
    let mean = errors.iter().sum::<f64>() / errors.len() as f64;
    println!(
        "A2B mean {mean:.3} p95 {:.3} max {:.3}; in gamut {count}",
        errors[errors.len() * 95 / 100],
        errors.last().unwrap()
    );
    for (sum, &c) in sums.iter().zip(&active) {
        println!(
            "  {:14} ours {:.4} theirs {:.4} mean abs {:.4} max {:.3}",
            set.inks[c].name,
            sum[0] / count,
            sum[1] / count,
            sum[2] / count,
            sum[3]
        );
    }
    println!(
        "white {:?}",
        transform.to_device(Lab::WHITE).iter().map(|v| v.to_fraction()).collect::<Vec<_>>()
    );
}
