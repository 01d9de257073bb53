use dosing::VolumeRange;
use estimating::Assumption;
use pricing::{
    BreakEven, Change, ListProvenance, MonthlyTotal, OldMachine, Payback, PaybackTime, RoutedJob,
    Routing, RunningCost, SensitivityRow,
};

use crate::from_estimates::assumption;
use crate::from_quote::{amount, ends, failed, range};
use crate::wire_monthly::{
    Job, Month, OnSet, PaybackDocument, RoutingDocument, Running, Saving, Sensitivity, Threshold,
    Time, Total, VERSION,
};
use crate::{MonthlyContext, wire};

pub(crate) fn routing_document(
    program: &str,
    routing: &Routing,
    context: &MonthlyContext,
) -> RoutingDocument {
    RoutingDocument {
        version: VERSION,
        kind: "routing",
        program: program.to_owned(),
        disclaimer: wire::DISCLAIMER,
        month: month(routing, context),
        failed: failed(&context.failed),
        assumptions: assumptions(context, &[]),
    }
}

pub(crate) fn payback_document(
    program: &str,
    payback: &Payback,
    context: &MonthlyContext,
) -> PaybackDocument {
    let [time_at_least_saving, time, time_at_most_saving] = payback.time.map(words_of_time);
    let running = [&payback.running_old, &payback.running_new];
    PaybackDocument {
        version: VERSION,
        kind: "payback",
        program: program.to_owned(),
        disclaimer: wire::DISCLAIMER,
        month: month(&payback.routing, context),
        have: payback.running_old.ink_set.clone(),
        buy: payback.running_new.ink_set.clone(),
        old_machine: match payback.old_machine {
            OldMachine::Stays => "stays",
            OldMachine::Goes => "goes",
        },
        price: amount(payback.price),
        running: running.map(running_cost).to_vec(),
        ink_saving: range(&payback.ink_saving),
        added_running_cost: amount(payback.added_running_cost),
        saving: range(&payback.saving),
        time_at_least_saving,
        time,
        time_at_most_saving,
        area_m2_per_month: payback.area.to_square_metres(),
        break_even: threshold(payback.break_even),
        within_horizon: threshold(payback.within_horizon),
        horizon_months: payback.horizon_months,
        sensitivity: payback.sensitivity.iter().map(sensitivity).collect(),
        failed: failed(&context.failed),
        assumptions: assumptions(context, &running),
    }
}

fn month(routing: &Routing, context: &MonthlyContext) -> Month {
    Month {
        currency: routing.routed.cost.currency().code(),
        price_list: context.price_list.name.clone(),
        demand: context.demand.clone(),
        lost_above_delta_e_00: routing.tolerance.to_difference(),
        ink_sets: routing.sets.clone(),
        jobs: routing.jobs.iter().map(|it| job(it, &routing.sets)).collect(),
        all_on: routing.sets.iter().zip(&routing.all_on).map(|(set, it)| total(set, it)).collect(),
        routed: total("each where it is sent", &routing.routed),
        savings: routing
            .sets
            .iter()
            .zip(&routing.savings)
            .map(|(set, saving)| Saving {
                against: set.clone(),
                ink_ml: saving.millilitres,
                money: amount(saving.money),
            })
            .collect(),
    }
}

fn job(job: &RoutedJob, sets: &[String]) -> Job {
    let on = sets.iter().zip(&job.on).map(|(set, on)| {
        let [ink_ml_low, ink_ml, ink_ml_high] = ends(&on.ink);
        let (ink_set, cost) = (set.clone(), amount(on.cost));
        OnSet { ink_set, ink_ml, ink_ml_low, ink_ml_high, cost, holds: on.holds }
    });
    Job {
        name: job.name.clone(),
        copies_per_month: job.copies,
        area_m2: job.area.to_square_metres(),
        on: on.collect(),
        sent_to: sets[job.chosen].clone(),
        held: job.on[job.chosen].holds,
    }
}

fn total(ink_set: &str, total: &MonthlyTotal) -> Total {
    let ink: &VolumeRange = &total.ink;
    let [ink_ml_low, ink_ml, ink_ml_high] = ends(ink);
    Total {
        ink_set: ink_set.to_owned(),
        ink_ml,
        ink_ml_low,
        ink_ml_high,
        cost: amount(total.cost),
        jobs_not_held: total.jobs_not_held,
    }
}

fn running_cost(running: &RunningCost) -> Running {
    Running {
        ink_set: running.ink_set.clone(),
        idle_ink_ml: running.idle_ink.to_millilitres(),
        idle: amount(running.idle),
        cleaning_ink_ml: running.cleaning_ink.to_millilitres(),
        cleaning: amount(running.cleaning),
        heads: amount(running.heads),
        maintenance: amount(running.maintenance),
        sum: amount(running.sum),
    }
}

fn words_of_time(time: PaybackTime) -> Time {
    let (status, months, words) = match time {
        PaybackTime::Months(_) => {
            let months = time.to_months();
            ("months", months, months.map(months_in_words).unwrap_or_default())
        }
        PaybackTime::AtOnce => ("at_once", None, "at once: it costs nothing".to_owned()),
        PaybackTime::Never => ("never", None, "never".to_owned()),
        PaybackTime::Undefined => {
            ("undefined", None, "undefined: it costs nothing and saves nothing".to_owned())
        }
    };
    Time { status, months, words }
}

/// Years beyond which a time says no more than that it is very long: longer than any machine is
/// kept. Our choice.
const LONGEST_YEARS: f64 = 100.0;

fn months_in_words(months: f64) -> String {
    let years = months / 12.0;
    if years > LONGEST_YEARS {
        format!("more than {LONGEST_YEARS} years")
    } else if months >= 24.0 {
        format!("{months:.0} months ({years:.1} years)")
    } else {
        format!("{months:.1} months")
    }
}

fn threshold(threshold: BreakEven) -> Threshold {
    match threshold {
        BreakEven::Area(area) => {
            let area = area.to_square_metres();
            let words = format!("from {area:.1} m² a month on");
            Threshold { status: "area", area_m2_per_month: Some(area), words }
        }
        BreakEven::Always => {
            let words = "with any area".to_owned();
            Threshold { status: "always", area_m2_per_month: None, words }
        }
        BreakEven::Never => {
            let words = "never: these jobs save no ink".to_owned();
            Threshold { status: "never", area_m2_per_month: None, words }
        }
    }
}

fn sensitivity(row: &SensitivityRow) -> Sensitivity {
    let (change, to, words) = match row.change {
        Change::None => ("none", None, "as assumed".to_owned()),
        Change::InkPrice(percent) => (
            "ink_price",
            percent.to_number(),
            format!("ink at {} % of its price", percent.to_percent()),
        ),
        Change::Volume(percent) => {
            ("volume", percent.to_number(), format!("{} % of the copies", percent.to_percent()))
        }
        Change::Tolerance(tolerance) => {
            let difference = tolerance.to_difference();
            ("tolerance", Some(difference), format!("colours lost above ΔE00 {difference}"))
        }
    };
    let [time_at_least_saving, time, time_at_most_saving] = row.time.map(words_of_time);
    Sensitivity {
        change,
        to,
        words,
        jobs_moved: row.jobs_moved,
        jobs_not_held: row.jobs_not_held,
        saving: range(&row.saving),
        time_at_least_saving,
        time,
        time_at_most_saving,
    }
}

fn assumptions(context: &MonthlyContext, running: &[&RunningCost]) -> Vec<wire::Assumption> {
    let mut all = context.assumptions.clone();
    all.push(Assumption::note(context.demand.clone()));
    all.push(Assumption::note(
        "ink of a job: pictures, edges, start-up and cleaning of each order, and spoilage; paper \
         and work are the same on all sets and left out",
    ));
    if context.price_list.provenance == ListProvenance::Invented {
        let list = &context.price_list.name;
        all.push(Assumption::note(format!("prices of `{list}` are invented")));
    }
    if !running.is_empty() {
        all.push(Assumption::note(
            "the range of a saving takes the errors of the two sets as independent",
        ));
    }
    for machine in running.iter().filter(|machine| !machine.unknown.is_empty()) {
        all.push(Assumption::warning(format!(
            "the ink set `{}` does not state {}, which count as nothing",
            machine.ink_set,
            machine.unknown.join(", ")
        )));
    }
    all.iter().map(assumption).collect()
}
