#![allow(warnings, clippy::all, missing_docs)]
use std::collections::{HashMap, BTreeMap};
use std::fs::File;
use colour::*;
use estimating::*;
use icc::*;
use intake::Limits;
use separation::*;
struct Cache;
impl SeparationCache for Cache {
    fn load(&self, key: &str) -> Option<Vec<u8>> { std::fs::read(format!("/tmp/mosaic/{key}")).ok() }
    fn store(&self, key: &str, b: &[u8]) { let _ = std::fs::write(format!("/tmp/mosaic/{key}"), b); }
}
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let set = inkset::builtin(&args[1]).unwrap().parse().unwrap().set;
    let set = PreparedSet::new(set, Preparation::default(), &Cache).unwrap();
    let sep = set.separation();
    let lay: Vec<f64> = sep.limits().lay_down().iter().map(|l| l.to_millilitres_per_square_metre()).collect();
    for path in &args[2..] {
        let mut p = intake::open(File::open(path).unwrap(), &Limits::default()).unwrap();
        if p.format.model != ColourModel::Rgb || p.format.alpha != Alpha::None { continue }
        let mut px: HashMap<[u16; 3], u64> = HashMap::new();
        while let Some(b) = p.rows.next_band().unwrap() {
            match b.samples {
                Samples::Eight(v) => for c in v.chunks_exact(3) { *px.entry([c[0] as u16 * 257, c[1] as u16 * 257, c[2] as u16 * 257]).or_default() += 1; },
                Samples::Sixteen(v) => for c in v.chunks_exact(3) { *px.entry([c[0], c[1], c[2]]).or_default() += 1; },
            }
        }
        let profile = match p.profile.as_deref().map(|b| SourceProfile::parse(b, ColourModel::Rgb)) { Some(Ok(x)) => x, _ => SourceProfile::srgb() };
        let t = SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric).unwrap();
        let r = Rendering::BlackPointCompensated { source_black: t.black_point().unwrap().unwrap(), darkest: sep.darkest_neutral() };
        let eval = |e: &[f64]| -> Vec<(Lab, Vec<f64>, bool)> {
            t.to_lab(e).unwrap().into_iter().map(|l| { let l = r.target(l); let s = sep.separate(l);
                (l, s.coverages.iter().zip(&lay).map(|(c, y)| c.to_fraction() * y).collect(), s.limited) }).collect()
        };
        let mut cols: Vec<_> = px.into_iter().collect(); cols.sort();
        let enc: Vec<f64> = cols.iter().flat_map(|(c, _)| c.map(|x| f64::from(x) / 65535.0)).collect();
        let exact = eval(&enc);
        let n: u64 = cols.iter().map(|c| c.1).sum();
        let tot: f64 = exact.iter().zip(&cols).map(|(e, c)| e.1.iter().sum::<f64>() * c.1 as f64).sum::<f64>() / n as f64;
        print!("{} on {} n={} distinct={} total {:.4} black {:?} :", path.rsplit('/').next().unwrap(), args[1], n, cols.len(), tot, sep.darkest_neutral().l);
        for bits in [5u32, 6, 7] {
            let mut cells: HashMap<[u16; 3], (u64, [f64; 3], Vec<usize>)> = HashMap::new();
            for (i, (c, k)) in cols.iter().enumerate() {
                let e = cells.entry(c.map(|x| x >> (16 - bits))).or_default();
                e.0 += k; for a in 0..3 { e.1[a] += f64::from(c[a]) * *k as f64; } e.2.push(i);
            }
            let keys: Vec<_> = cells.into_iter().collect();
            let enc: Vec<f64> = keys.iter().flat_map(|(_, c)| c.1.map(|s| (s / c.0 as f64 / 65535.0).min(1.0))).collect();
            let mean = eval(&enc);
            let mut by_l: BTreeMap<i32, (f64, f64, f64)> = BTreeMap::new();
            let mut by_lim: BTreeMap<&str, f64> = BTreeMap::new();
            let mut err = 0.0;
            let mut ch = vec![0.0; lay.len()];
            let mut worst: Vec<(f64, Lab, usize, f64)> = vec![];
            for (m, (_, c)) in mean.iter().zip(&keys) {
                let ex: f64 = c.2.iter().map(|&i| exact[i].1.iter().sum::<f64>() * cols[i].1 as f64).sum();
                let d = (m.1.iter().sum::<f64>() * c.0 as f64 - ex) / n as f64;
                for k in 0..lay.len() { ch[k] += (m.1[k] * c.0 as f64 - c.2.iter().map(|&i| exact[i].1[k] * cols[i].1 as f64).sum::<f64>()) / n as f64; }
                err += d;
                let e = by_l.entry((m.0.l / 5.0) as i32 * 5).or_default(); e.0 += d; e.1 += d.abs(); e.2 += c.0 as f64 / n as f64;
                let lim = c.2.iter().filter(|&&i| exact[i].2).count();
                *by_lim.entry(if lim == 0 { "free" } else if lim == c.2.len() { "limited" } else { "mixed" }).or_default() += d;
                worst.push((d, m.0, c.2.len(), m.1.iter().sum()));
            }
            print!(" {}^3 {:+.4}% ({} cells)", 1 << bits, 100.0 * err / tot, keys.len());
            if bits == 6 && std::env::var_os("DETAIL").is_some() {
                println!("\n by limit {:?}", by_lim.iter().map(|(k, v)| format!("{k} {:+.4}%", 100.0 * v / tot)).collect::<Vec<_>>());
                println!(" by channel {:?}", ch.iter().map(|v| format!("{:+.4}", 100.0 * v / tot)).collect::<Vec<_>>());
                for (l, e) in &by_l { println!("  L {l:>3}: share {:.3} err {:+.4}% abs {:.4}%", e.2, 100.0 * e.0 / tot, 100.0 * e.1 / tot); }
                worst.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
                for w in worst.iter().take(8) { println!("  cell {:+.4}% of total at {:?} colours {} load {:.2}", 100.0 * w.0 / tot, w.1, w.2, w.3); }
            }
        }
        println!();
    }
}
