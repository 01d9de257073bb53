use estimating::{
    ColourDemand, EstimatedJob, EstimatingError, PreparedSet, estimate_monthly, priced_assumptions,
};
use pricing::{MonthlyMix, OldMachine, PriceList, Purchase, pay_back, route};
use report::{MonthlyContext, PaybackReport, RoutingReport};

use crate::Exit;
use crate::estimating_commands::{PROGRAM, count};
use crate::monthly_jobs::{WantedJob, wanted_jobs};
use crate::output::{json, say, write_result};
#[cfg(feature = "parquet")]
use crate::output::{parquet, write_bytes};
use crate::picture_reading::{Page, PictureReading};
use crate::prepared_sets::prepare;
use crate::price_list_source::read_price_list;
use crate::pricing_arguments::{
    Fate, MoneyFormat, MonthlyArguments, PaybackArguments, RoutingArguments,
};
use crate::shell_error::ShellError;

/// `inkfathom routing`.
pub(crate) fn run_routing(arguments: &RoutingArguments) -> Result<Exit, ShellError> {
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    if names.len() < 2 {
        return Err(ShellError::NothingToCompare);
    }
    let Some(month) = Month::estimate(&arguments.monthly, &names)? else {
        return Ok(Exit::AllFilesFailed);
    };
    let routing = route(&month.mix(), month.demand.asked())?;
    let report = RoutingReport::new(PROGRAM, &routing, &month.context());
    let result = &arguments.monthly.result;
    let text = match result.format {
        MoneyFormat::Table => report.to_table(),
        MoneyFormat::Csv => report.to_csv(),
        MoneyFormat::Json => json(report.to_json())?,
        MoneyFormat::JsonLines => json(report.to_json_lines())?,
        #[cfg(feature = "parquet")]
        MoneyFormat::Parquet => {
            write_bytes(&parquet(report.to_parquet())?, result.output.as_deref())?;
            return Ok(month.exit());
        }
        MoneyFormat::Html => report.to_html(&result.page.letter()),
    };
    write_result(&text, result.output.as_deref())?;
    Ok(month.exit())
}

/// `inkfathom payback`.
pub(crate) fn run_payback(arguments: &PaybackArguments) -> Result<Exit, ShellError> {
    let names = [arguments.have.as_str(), arguments.buy.as_str()];
    let Some(month) = Month::estimate(&arguments.monthly, &names)? else {
        return Ok(Exit::AllFilesFailed);
    };
    let payback = pay_back(&Purchase {
        mix: &month.mix(),
        tolerance: month.demand.asked(),
        old_machine: match arguments.old_machine {
            Fate::Stays => OldMachine::Stays,
            Fate::Goes => OldMachine::Goes,
        },
        horizon_months: arguments.within.get(),
    })?;
    let report = PaybackReport::new(PROGRAM, &payback, &month.context());
    let result = &arguments.monthly.result;
    let text = match result.format {
        MoneyFormat::Table => report.to_table(),
        MoneyFormat::Csv => report.to_csv(),
        MoneyFormat::Json => json(report.to_json())?,
        MoneyFormat::JsonLines => json(report.to_json_lines())?,
        #[cfg(feature = "parquet")]
        MoneyFormat::Parquet => {
            write_bytes(&parquet(report.to_parquet())?, result.output.as_deref())?;
            return Ok(month.exit());
        }
        MoneyFormat::Html => report.to_html(&result.page.letter()),
    };
    write_result(&text, result.output.as_deref())?;
    Ok(month.exit())
}

/// A month's jobs, estimated on every set.
struct Month {
    list: PriceList,
    prepared: Vec<PreparedSet>,
    demand: ColourDemand,
    jobs: Vec<EstimatedJob>,
    failed: Vec<(String, String)>,
}

impl Month {
    /// Estimates every job, also after one has failed; `None` when none could be estimated.
    fn estimate(
        arguments: &MonthlyArguments,
        ink_sets: &[&str],
    ) -> Result<Option<Self>, ShellError> {
        let list = read_price_list(&arguments.price_list)?;
        let demand = ColourDemand::new(arguments.thresholds.thresholds()?, arguments.strictly);
        let wanted = wanted_jobs(arguments)?;
        let prepared = prepare(&arguments.print.device, ink_sets)?;
        let reading = PictureReading::new(&arguments.pictures)?;
        let (mut jobs, mut failed) = (Vec::new(), Vec::new());
        for wanted in &wanted {
            for page in reading.pages(&wanted.path) {
                let name = page.of(&wanted.name);
                match estimated(&name, page, &reading, wanted, &prepared, &demand) {
                    Ok(job) => jobs.push(job),
                    Err(fault) => {
                        say("error", &format!("{name}: {fault}"));
                        failed.push((name, fault.to_string()));
                    }
                }
            }
        }
        let any = !jobs.is_empty();
        Ok(any.then_some(Self { list, prepared, demand, jobs, failed }))
    }

    fn mix(&self) -> MonthlyMix<'_> {
        MonthlyMix {
            list: &self.list,
            sets: self.prepared.iter().map(PreparedSet::set).collect(),
            tolerances: self.demand.tolerances(),
            jobs: self.jobs.iter().map(|job| job.job.clone()).collect(),
        }
    }

    fn context(&self) -> MonthlyContext {
        MonthlyContext {
            price_list: self.list.clone(),
            demand: self.demand.description(),
            assumptions: priced_assumptions(self.jobs.iter().flat_map(|job| &job.estimates)),
            failed: self.failed.clone(),
        }
    }

    fn exit(&self) -> Exit {
        if self.failed.is_empty() { Exit::Answered } else { Exit::SomeFilesFailed }
    }
}

fn estimated(
    name: &str,
    page: Page<'_>,
    reading: &PictureReading<'_>,
    wanted: &WantedJob,
    prepared: &[PreparedSet],
    demand: &ColourDemand,
) -> Result<EstimatedJob, EstimatingError> {
    let picture = count(page, reading, wanted.job.rendering, prepared)?;
    estimate_monthly(name, &picture, prepared, &wanted.job, wanted.orders, demand)
}
