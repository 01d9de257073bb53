/// Turns wanted volumes of a grid of cells into drops, by diffusing the error over the
/// neighbours: Floyd and Steinberg, Proceedings of the Society for Information Display 17 (1976),
/// on rows that run to and fro.
///
/// `wanted` gives the volume of a cell by column and row; `levels` are the volumes that a cell can
/// take, rising from nought; `fired` is told the level of each cell.
pub fn diffuse(
    width: usize,
    height: usize,
    levels: &[f64],
    mut wanted: impl FnMut(usize, usize) -> f64,
    mut fired: impl FnMut(usize, usize, usize),
) {
    // One cell of margin on both sides takes what runs over the edge and gives it back.
    let mut here = vec![0.0; width + 2];
    let mut below = vec![0.0; width + 2];
    for row in 0..height {
        let rightwards = row.is_multiple_of(2);
        for step in 0..width {
            let column = if rightwards { step } else { width - 1 - step };
            let volume = wanted(column, row) + here[column + 1];
            let level = nearest(levels, volume);
            fired(column, row, level);
            let error = volume - levels[level];
            let (ahead, behind) =
                if rightwards { (column + 2, column) } else { (column, column + 2) };
            here[ahead] += error * (7.0 / 16.0);
            below[behind] += error * (3.0 / 16.0);
            below[column + 1] += error * (5.0 / 16.0);
            below[ahead] += error * (1.0 / 16.0);
        }
        // What would leave at the sides goes down along them, so that no ink is lost there.
        let lost = here[if rightwards { width + 1 } else { 0 }];
        let edge = if rightwards { width } else { 1 };
        below[edge] += lost
            + below[0] * f64::from(u8::from(edge == 1))
            + below[width + 1] * f64::from(u8::from(edge == width));
        let other = if edge == 1 { width } else { 1 };
        below[other] += if edge == 1 { below[width + 1] } else { below[0] };
        below[0] = 0.0;
        below[width + 1] = 0.0;
        std::mem::swap(&mut here, &mut below);
        below.fill(0.0);
    }
}

/// The level next to a volume.
fn nearest(levels: &[f64], volume: f64) -> usize {
    let above = levels.partition_point(|level| *level < volume).min(levels.len() - 1);
    let below = above.saturating_sub(1);
    if volume - levels[below] < levels[above] - volume { below } else { above }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_drops_of_an_even_tint_sum_to_its_volume() {
        /// What is left in the last row: at most a drop for each of its cells, and mostly half.
        const LEFT_OVER: f64 = 40.0;
        let levels = [0.0, 1.5, 2.7, 4.0];
        for tint in [0.02, 0.3, 1.0, 2.2, 3.7, 4.0] {
            let mut sum = 0.0;
            diffuse(60, 60, &levels, |_, _| tint, |_, _, level| sum += levels[level]);
            assert!((sum - 3600.0 * tint).abs() < LEFT_OVER, "{tint}: {sum}");
        }
    }
}
