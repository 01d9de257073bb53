use super::packing::{Packing, Placed, Stretch};
use super::strip::{Kind, Micrometres, Strip, Way};

/// One piece in each row, each on its lower side: no layout that is worth having is longer.
pub(super) fn one_per_row(strip: &Strip) -> Packing {
    let row = |(kind, of): (usize, &Kind)| {
        let way = of.lowest();
        let placed = vec![Placed { kind, way, x: 0, y: 0 }];
        Stretch { along: way.along, repeats: of.copies, placed }
    };
    Packing { stretches: strip.kinds.iter().enumerate().map(row).collect() }
}

/// Rows of falling height, each begun with the highest piece that is left and filled with the
/// highest that still fit beside it (first fit by falling height, as strips have been packed since
/// Coffman, Garey, Johnson and Tarjan 1980). `begin` says how a piece lies that begins a row.
pub(super) fn rows(strip: &Strip, begin: fn(&Kind) -> Way) -> Packing {
    let mut left: Vec<u32> = strip.kinds.iter().map(|kind| kind.copies).collect();
    let mut stretches = Vec::new();
    while let Some(stretch) = row(strip, &mut left, begin) {
        stretches.push(stretch);
    }
    Packing { stretches }
}

/// The next row, repeated as long as the pieces last; takes them off what is left.
fn row(strip: &Strip, left: &mut [u32], begin: fn(&Kind) -> Way) -> Option<Stretch> {
    let begun = (0..left.len())
        .filter(|&kind| left[kind] > 0)
        .map(|kind| (kind, begin(&strip.kinds[kind])))
        .max_by_key(|(kind, way)| (way.along, usize::MAX - kind))?;
    let mut used = vec![0_u32; left.len()];
    let mut placed = Vec::new();
    let mut x = 0;
    let height = begun.1.along;
    let mut next = Some(begun);
    while let Some((kind, way)) = next {
        placed.push(Placed { kind, way, x, y: 0 });
        used[kind] += 1;
        x += way.across;
        next = beside(strip, left, &used, strip.width.saturating_sub(x), height);
    }
    let lasts = |(left, used): (&u32, &u32)| left.checked_div(*used);
    let repeats = left.iter().zip(&used).filter_map(lasts).min().unwrap_or(1).max(1);
    for (left, used) in left.iter_mut().zip(&used) {
        *left -= used * repeats;
    }
    Some(Stretch { along: height, repeats, placed })
}

/// The highest piece, of those the widest, that fits in what is left of a row.
fn beside(
    strip: &Strip,
    left: &[u32],
    used: &[u32],
    width: Micrometres,
    height: Micrometres,
) -> Option<(usize, Way)> {
    let is_left = |&(kind, _): &(usize, &Kind)| left[kind] > used[kind];
    let ways = strip.kinds.iter().enumerate().filter(is_left);
    ways.flat_map(|(kind, of)| of.ways.iter().map(move |way| (kind, *way)))
        .filter(|(_, way)| way.across <= width && way.along <= height)
        .max_by_key(|&(kind, way)| (way.along, way.across, usize::MAX - kind))
}
