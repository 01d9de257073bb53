use resvg::usvg::{Group, Node, Tree};

use crate::drawn_rows::Canvas;
use crate::{IntakeError, Limits};

/// What the renderer draws aside before it lies on the page: groups with opacity, masks, clips and
/// filters. A small file may ask for more of it than any machine draws.
#[derive(Clone, Copy, Default)]
struct Layers {
    /// Pixels of all layers, each counted once for every filter over it.
    drawn: f64,
    /// Pixels of the layers that are held at the same time.
    held: f64,
}

/// Most pixels of layers; our choice: filters manage some hundred millions a second.
const MOST_DRAWN: f64 = 2e9;
/// Times that a layer may be as wide and as high as the page: `resvg` cuts it two pages beyond each
/// side.
const BEYOND: f64 = 5.0;
/// Bytes of a pixel.
const BYTES: f64 = 4.0;

/// Refuses a drawing whose layers take too long or too much memory.
pub(super) fn check(tree: &Tree, canvas: &Canvas, limits: &Limits) -> Result<(), IntakeError> {
    let page = (BEYOND * f64::from(canvas.width), BEYOND * f64::from(canvas.height));
    let layers = Layers::of(tree.root(), canvas.scale, page);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts from float saturate"
    )]
    limits.check_held((layers.held * BYTES) as u64, "export the drawing's pixels")?;
    if layers.drawn > MOST_DRAWN {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "casts from float saturate"
        )]
        return Err(IntakeError::TooLarge {
            quantity: "what filters, masks and opacities draw aside",
            value: layers.drawn as u64,
            limit: MOST_DRAWN as u64,
            unit: "pixels",
            remedy: "draw it at fewer pixels per inch, or export its pixels",
        });
    }
    Ok(())
}

impl Layers {
    fn of(group: &Group, scale: f64, (widest, highest): (f64, f64)) -> Self {
        let page = (widest, highest);
        let mut inside = Self::default();
        for child in group.children() {
            if let Node::Group(child) = child {
                inside = inside.beside(Self::of(child, scale, page));
            }
        }
        if let Some(mask) = group.mask() {
            inside = inside.beside(Self::of(mask.root(), scale, page));
        }
        if !group.should_isolate() {
            return inside;
        }
        let area = group.abs_layer_bounding_box();
        let side = |length: f32, most: f64| (f64::from(length) * scale).clamp(1.0, most);
        let pixels = side(area.width(), widest) * side(area.height(), highest);
        let filters: usize = group.filters().iter().map(|filter| filter.primitives().len()).sum();
        // A filter holds its source, its result and every result that another may ask for.
        #[expect(clippy::cast_precision_loss, reason = "far below 2^52 filters")]
        let (filters, mask) = (filters as f64, f64::from(u8::from(group.mask().is_some())));
        Self {
            drawn: inside.drawn + pixels * (1.0 + mask + filters),
            held: inside.held + pixels * (1.0 + mask + filters),
        }
    }

    const fn beside(self, other: Self) -> Self {
        Self { drawn: self.drawn + other.drawn, held: self.held.max(other.held) }
    }
}
