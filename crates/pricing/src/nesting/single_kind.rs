use super::packing::{Packing, Placed, Stretch};
use super::strip::{Kind, Strip, Way};

/// Rows of upright and rows of turned prints, for an order of one size: the best mixture of the
/// two, found by trying every number of rows of the first.
pub(super) fn single_kind(strip: &Strip) -> Option<Packing> {
    let [kind] = strip.kinds.as_slice() else {
        return None;
    };
    let first = *kind.ways.first()?;
    let second = kind.ways.get(1).copied();
    let full_rows = kind.copies.div_ceil(per_row(strip, first));
    let lengths =
        (0..=full_rows).filter_map(|rows| Some((length(strip, kind, first, second, rows)?, rows)));
    let (_, rows) = lengths.min()?;
    Some(filled(strip, kind, &[(first, rows), (second.unwrap_or(first), u32::MAX)]))
}

/// The length if so many rows lie the first way and the rest the second.
fn length(strip: &Strip, kind: &Kind, first: Way, second: Option<Way>, rows: u32) -> Option<u64> {
    let left =
        u64::from(kind.copies).saturating_sub(u64::from(rows) * u64::from(per_row(strip, first)));
    let of_first = u64::from(rows) * first.along;
    match (left, second) {
        (0, _) => Some(of_first),
        (_, None) => None,
        (left, Some(way)) => {
            Some(of_first + left.div_ceil(u64::from(per_row(strip, way))) * way.along)
        }
    }
}

fn per_row(strip: &Strip, way: Way) -> u32 {
    u32::try_from(strip.width / way.across.max(1)).unwrap_or(u32::MAX).max(1)
}

/// Full rows of each way, up to the given number, and a last row for what is left.
fn filled(strip: &Strip, kind: &Kind, ways: &[(Way, u32)]) -> Packing {
    let mut left = kind.copies;
    let mut stretches = Vec::new();
    for &(way, most_rows) in ways {
        let per_row = per_row(strip, way);
        let full = (left / per_row).min(most_rows);
        if full > 0 {
            stretches.push(row(way, per_row, full));
            left -= full * per_row;
        }
        if left > 0 && full < most_rows {
            stretches.push(row(way, left, 1));
            left = 0;
        }
    }
    Packing { stretches }
}

fn row(way: Way, pieces: u32, repeats: u32) -> Stretch {
    let place = |number: u32| Placed { kind: 0, way, x: u64::from(number) * way.across, y: 0 };
    Stretch { along: way.along, repeats, placed: (0..pieces).map(place).collect() }
}
