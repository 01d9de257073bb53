use super::packing::{Packing, Placed, Stretch};
use super::strip::{Kind, Micrometres, Strip, Way};

/// Up to so many pieces every order and way is tried: 7! orders of 2 ways each, of which bounding
/// leaves few. Our choice, for answers within a tenth of a second.
const MOST_TRIED_FULLY: u64 = 7;
/// Up to so many pieces orders are searched; above, rows of equal pieces are close to the best.
/// Our choice, because placing so many pieces takes under a millisecond.
const MOST_SEARCHED: u64 = 40;
/// Steps of work that a search may take; one step looks at one piece that is placed. Our choice:
/// a few hundredths of a second; ten times as many shorten strips that were cut into 8 to 20
/// pieces by less than a hundredth.
const STEPS: u64 = 3_000_000;

/// Places pieces one by one as low and then as far left as they go, and looks for the order and
/// the ways of lying that give the shortest stretch.
pub(super) fn search(strip: &Strip) -> Option<Packing> {
    let pieces = strip.pieces();
    if pieces > MOST_SEARCHED {
        return None;
    }
    let mut search = Search::new(strip);
    if pieces <= MOST_TRIED_FULLY {
        let mut left: Vec<u32> = strip.kinds.iter().map(|kind| kind.copies).collect();
        search.try_all(&mut left, &mut Vec::new());
    } else {
        search.try_some();
    }
    search.best
}

struct Search<'s> {
    strip: &'s Strip,
    best: Option<Packing>,
    length: Micrometres,
    /// Nothing is shorter.
    least: Micrometres,
    steps: u64,
}

/// A piece and how it lies.
type Choice = (usize, Way);

impl<'s> Search<'s> {
    fn new(strip: &'s Strip) -> Self {
        Self { strip, best: None, length: Micrometres::MAX, least: strip.least_length(), steps: 0 }
    }

    /// Whether nothing shorter can be found, or the work has taken long enough.
    fn is_over(&self) -> bool {
        self.steps >= STEPS || self.length <= self.least
    }

    /// Every order of what is left, on top of what is placed.
    fn try_all(&mut self, left: &mut [u32], placed: &mut Vec<Placed>) {
        if left.iter().all(|&left| left == 0) {
            self.keep(placed);
            return;
        }
        for kind in 0..left.len() {
            if left[kind] == 0 || self.is_over() {
                continue;
            }
            left[kind] -= 1;
            for way in &self.strip.kinds[kind].ways {
                let piece = self.lowest(placed, (kind, *way));
                if let Some(piece) = piece.filter(|piece| piece.top() < self.length) {
                    placed.push(piece);
                    self.try_all(left, placed);
                    placed.pop();
                }
            }
            left[kind] += 1;
        }
    }

    /// Some orders by falling size, and changes of the best one by chance, the same each time.
    fn try_some(&mut self) {
        let sizes: [fn(&Choice) -> Micrometres; 4] = [
            |(_, way)| way.along,
            |(_, way)| way.across,
            |(_, way)| way.along / 1000 * (way.across / 1000),
            |(_, way)| way.along + way.across,
        ];
        let mut best_order = Vec::new();
        for begin in [Kind::lowest, Kind::slimmest] {
            for size in sizes {
                let mut order = self.in_given_order(begin);
                order.sort_by_key(|choice| std::cmp::Reverse(size(choice)));
                if self.try_order(&order) {
                    best_order = order;
                }
            }
        }
        let mut chance = Chance(1);
        while !self.is_over() {
            let mut order = best_order.clone();
            self.change(&mut order, &mut chance);
            if self.try_order(&order) {
                best_order = order;
            }
        }
    }

    fn in_given_order(&self, begin: fn(&Kind) -> Way) -> Vec<Choice> {
        let kinds = self.strip.kinds.iter().enumerate();
        let copies = kinds.flat_map(|(kind, of)| (0..of.copies).map(move |_| (kind, begin(of))));
        copies.collect()
    }

    /// Moves a piece to another place in the order, and turns it half of the time.
    fn change(&self, order: &mut Vec<Choice>, chance: &mut Chance) {
        let (from, to) = (chance.below(order.len()), chance.below(order.len()));
        let (kind, mut way) = order.remove(from);
        let ways = &self.strip.kinds[kind].ways;
        if chance.below(2) == 0 {
            way = ways[chance.below(ways.len())];
        }
        order.insert(to, (kind, way));
    }

    /// Whether an order gives no longer stretch than the best one; kept if shorter.
    fn try_order(&mut self, order: &[Choice]) -> bool {
        let mut placed = Vec::with_capacity(order.len());
        for &choice in order {
            match self.lowest(&placed, choice) {
                Some(piece) => placed.push(piece),
                None => return false,
            }
        }
        self.keep(&placed);
        true
    }

    fn keep(&mut self, placed: &[Placed]) {
        let length = placed.iter().map(Placed::top).max().unwrap_or_default();
        if length < self.length || self.best.is_none() {
            self.length = length;
            let stretch = Stretch { along: length, repeats: 1, placed: placed.to_vec() };
            self.best = Some(Packing { stretches: vec![stretch] });
        }
    }

    /// The lowest and then leftmost place of a piece that begins at the left side or right of a
    /// placed piece; none where it would make the stretch longer than the best one.
    fn lowest(&mut self, placed: &[Placed], (kind, way): Choice) -> Option<Placed> {
        let mut best: Option<Placed> = None;
        let lefts = std::iter::once(0).chain(placed.iter().map(Placed::right));
        for x in lefts.filter(|x| x + way.across <= self.strip.width) {
            self.steps += 1 + placed.len() as u64;
            let y = lowest_at(placed, x, way);
            if best.is_none_or(|best| (y, x) < (best.y, best.x)) {
                best = Some(Placed { kind, way, x, y });
            }
        }
        best.filter(|best| best.top() <= self.length)
    }
}

/// The lowest place of a piece whose left side is given.
fn lowest_at(placed: &[Placed], x: Micrometres, way: Way) -> Micrometres {
    let mut in_the_way: Vec<(Micrometres, Micrometres)> = placed
        .iter()
        .filter(|other| other.x < x + way.across && x < other.right())
        .map(|other| (other.y, other.top()))
        .collect();
    in_the_way.sort_unstable();
    let mut y = 0;
    for (bottom, top) in in_the_way {
        if y + way.along <= bottom {
            break;
        }
        y = y.max(top);
    }
    y
}

/// A sequence that looks random and is always the same (xorshift, Marsaglia 2003).
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        #[expect(clippy::cast_possible_truncation, reason = "any bits of it will do")]
        let number = self.0 as usize;
        number % end.max(1)
    }
}
