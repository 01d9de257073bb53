use maud::{Markup, html};

use super::comparison_page::Answered;
use super::{Section, charts, parts, picture_section};
use crate::wire;

/// What the ink policy saves and what colour it costs; `None` under the sets' own policy.
pub(crate) fn policy(answered: &[Answered<'_>]) -> Option<Section> {
    let effects: Vec<(String, &wire::Estimate, &wire::PolicyEffect)> = answered
        .iter()
        .flat_map(|picture| picture.estimates.iter().map(|estimate| (picture.name, estimate)))
        .filter_map(|(name, estimate)| {
            let effect = estimate.policy_effect.as_ref()?;
            Some((picture_section::short_name(name), estimate, effect))
        })
        .collect();
    if effects.is_empty() {
        return None;
    }
    let bars: Vec<(String, Option<f64>)> = effects
        .iter()
        .map(|(name, estimate, effect)| {
            (format!("{}, {name}", estimate.ink_set), effect.saved_percent)
        })
        .collect();
    let caption = "Ink that the policy takes less than the set's own black replacement, in percent; \
                   to the left it takes more.";
    Some(Section {
        anchor: "policy".to_owned(),
        heading: "What the ink policy trades".to_owned(),
        remark: Some(
            "Ink saved against each set's own print, and the colour that it costs.".to_owned(),
        ),
        body: html! {
            (parts::chart(&charts::saving_bars(&bars, caption), caption))
            (table(&effects))
        },
    })
}

fn table(effects: &[(String, &wire::Estimate, &wire::PolicyEffect)]) -> Markup {
    let header = ["picture", "ink set", "usual ml", "ml", "saved", "ΔE00 mean", "ΔE00 p95, max"]
        .map(str::to_owned);
    let row = |(name, estimate, effect): &(String, &wire::Estimate, &wire::PolicyEffect)| {
        let cost = effect.delta_e_00;
        let saved = effect.saved_percent.map_or_else(|| "–".to_owned(), charts::signed_percent);
        [
            name.clone(),
            estimate.ink_set.clone(),
            crate::estimate_table::millilitres(effect.usual_total_ml),
            crate::estimate_table::millilitres(estimate.total_ml),
            saved,
            format!("{:.2}", cost.mean),
            format!("{:.2}, {:.2}", cost.p95, cost.max),
        ]
        .map(|text| html! { (text) })
        .to_vec()
    };
    let rows: Vec<Vec<Markup>> = effects.iter().map(row).collect();
    parts::table("Ink saved and colour given up by the policy", &header, &rows)
}
