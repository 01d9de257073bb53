use std::fmt::Write;

use ledger::StoredCalibration;

/// One line on a calibration.
pub(crate) fn summarised(stored: &StoredCalibration) -> String {
    let active = if stored.active { ", in use" } else { "" };
    format!(
        "{}  {}  {} in {}, {} jobs{active}",
        stored.label, stored.fitted_on, stored.ink_set, stored.print_mode, stored.calibration.jobs
    )
}

/// Everything that a calibration has learned, for reading.
pub(crate) fn described(stored: &StoredCalibration) -> String {
    let mut text = summarised(stored) + "\n\n";
    let mut line = |words: String| {
        // Writing to a string can't fail.
        let _ = writeln!(text, "{words}");
    };
    line(format!(
        "{:<16} {:>8}  {:<15}  {:<29} {}",
        "ink", "ml/m²", "(90 % range)", "volume curve", "start-up ml"
    ));
    let values = &stored.calibration;
    for (place, (ink, channel)) in stored.inks.iter().zip(&values.channels).enumerate() {
        let mut drawn: Vec<f64> = values
            .draws
            .iter()
            .map(|draw| draw.channels[place].lay_down.to_millilitres_per_square_metre())
            .collect();
        drawn.sort_by(f64::total_cmp);
        let [low, high] = ends(&drawn);
        line(format!(
            "{ink:<16} {:>8.2}  {:<15}  {:<29} {:.3}",
            channel.lay_down.to_millilitres_per_square_metre(),
            format!("({low:.2} – {high:.2})"),
            channel.curve.to_string(),
            channel.start_up.to_millilitres()
        ));
    }
    line(format!("\nreadings of one ink scatter by {:.1} %", 100.0 * values.scatter.to_fraction()));
    if let Some(errors) = &stored.leave_one_out {
        line(format!(
            "each job predicted from the others: {:.1} % off in the mean, {:.1} % at worst (job {})",
            100.0 * errors.mean.to_fraction(),
            100.0 * errors.worst.to_fraction(),
            errors.worst_job
        ));
    }
    let numbers: Vec<String> = stored.job_numbers.iter().map(ToString::to_string).collect();
    line(format!("jobs: {}", numbers.join(", ")));
    for finding in &stored.findings {
        line(format!("! {finding}"));
    }
    text
}

/// The 5th and the 95th of a hundred sorted values.
fn ends(sorted: &[f64]) -> [f64; 2] {
    let at = |place: usize| sorted.get(place).copied().unwrap_or_default();
    [at(sorted.len() / 20), at((sorted.len() - sorted.len() / 20).saturating_sub(1))]
}
