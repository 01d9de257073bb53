use crate::duplicates::check_duplicates;
use crate::layout::Layout;
use crate::log::Log;
use crate::measurement::patch;
use crate::plausibility::{
    compare_with_cielab, refuse_other_light, remark_on_narrow_spectra, remark_on_negatives, scale,
};
use crate::row_numbers::Numbers;
use crate::table::Table;
use crate::{Chart, ChartFault, ChartRemark, Contradictions, Measured, Patch, SampleNames, record};

/// The most patches; our choice, far above any chart.
const MOST_PATCHES: usize = 100_000;

/// Understands the columns of a table and reads its rows.
pub(crate) fn chart(
    table: &Table,
    names: &SampleNames,
    contradictions: Contradictions,
    log: &mut Log,
) -> Option<Chart> {
    let layout = Layout::of(table, names, log)?;
    refuse_other_light(table, &layout, log);
    if table.rows.is_empty() || table.rows.len() > MOST_PATCHES {
        log.fault(table.columns_line, ChartFault::NoPatches);
    }
    let numbers: Vec<Option<Numbers>> =
        table.rows.iter().map(|row| layout.numbers(row, names, log)).collect();
    let numbers: Vec<Numbers> = numbers.into_iter().collect::<Option<_>>()?;
    let scale = scale(&layout, &numbers, table.columns_line, log)?;
    let mut patches: Vec<Patch> =
        numbers.iter().filter_map(|numbers| patch(numbers, &layout, scale, log)).collect();
    remark_on_narrow_spectra(&numbers, table.columns_line, log);
    remark_on_negatives(&numbers, scale, table.columns_line, log);
    if !log.is_clean() {
        return None;
    }
    compare_with_cielab(&mut patches, &numbers, layout.measured, table.columns_line, log);
    check_duplicates(&mut patches, contradictions, table.columns_line, log);
    let condition = record::condition(table);
    if condition.is_none() && layout.measured == Measured::Spectra {
        log.remark(1, ChartRemark::ConditionNotStated);
    }
    Some(Chart {
        form: table.form.clone(),
        title: record::title(table),
        channels: if table.inks.is_empty() { layout.channels(names) } else { table.inks.clone() },
        measured: layout.measured,
        condition,
        backing: record::backing(table),
        patches,
        notices: Vec::new(),
    })
}
