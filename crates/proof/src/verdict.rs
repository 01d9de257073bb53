use colour::delta_e_00;
use separation::Rendering;
use units::Share;

use crate::difference_statistics::real;
use crate::{ColourRegion, DifferenceStatistics, LostPlaces, ProofPress, ProvedColour, Thresholds};

/// Whether an ink set holds the colours of a picture, with the figures behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Where the lines were drawn.
    pub thresholds: Thresholds,
    /// The answer in short.
    pub holding: Holding,
    /// Share of the area whose intended colour the set can't print: what it prints instead
    /// differs by more than the threshold. Media-relative and without compensation, so that a weak
    /// black counts; under absolute rendering, absolute.
    pub out_of_gamut: Share,
    /// The print against the intended colours, which no set moves.
    pub against_intended: DifferenceStatistics,
    /// The same after black-point compensation; `None` where the job does not compensate.
    pub after_compensation: Option<AfterCompensation>,
    /// The part of the differences after clipping that lies beyond the threshold, as a mean over
    /// the area: how much is lost, by area and by depth.
    pub loss: f64,
    /// The lost area by region of colour, largest first.
    pub lost: Vec<LostRegion>,
    /// Where in the picture they lie, once a preview has been looked through.
    pub places: Option<LostPlaces>,
    /// How much the print's colours change from D50 to illuminant A; `None` where an output
    /// profile predicts colours and no spectra.
    pub inconstancy: Option<Inconstancy>,
}

/// The answer in short.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holding {
    /// The set holds the picture's colours.
    Holds,
    /// It holds all but a part that can be named: little of the area, or shadows.
    HoldsAllBut,
    /// It does not.
    Loses,
}

/// The print against the intended colours moved by black-point compensation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AfterCompensation {
    /// Share of the area that differs by more than the threshold.
    pub out_of_gamut: Share,
    /// The differences.
    pub differences: DifferenceStatistics,
}

/// Lost area in one region of colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LostRegion {
    /// The region of the intended colours.
    pub region: ColourRegion,
    /// Its lost area as a share of the picture.
    pub share: Share,
    /// The largest ΔE00 in it, after clipping.
    pub largest: f64,
}

/// How much colours change with the light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inconstancy {
    /// ΔE00 from D50 to illuminant A for an adapted eye.
    pub differences: DifferenceStatistics,
    /// False where the paper reflects more than it receives in some band: its brightener needs
    /// ultraviolet, which lamps hardly have, and reflectance alone does not tell what it does then.
    pub reliable: bool,
}

impl Verdict {
    /// Judges the colours of a picture, each with its number of pixels.
    ///
    /// `unprinted` pixels are bare paper: they take part in the area and hold their colour.
    #[must_use]
    pub fn of(
        press: &ProofPress<'_>,
        colours: &[(ProvedColour, u64)],
        unprinted: u64,
        thresholds: Thresholds,
    ) -> Self {
        let area = Area::of(colours, unprinted);
        let clipped = area.differences(|colour| delta_e_00(colour.intended, colour.clipped), 0.0);
        let lost_above = thresholds.lost_above();
        let lost = area.lost_regions(&clipped, lost_above);
        let out_of_gamut = area.share_above(&clipped, lost_above);
        Self {
            thresholds,
            holding: holding(out_of_gamut, &lost, &thresholds),
            out_of_gamut,
            against_intended: DifferenceStatistics::of(
                &area.differences(|colour| delta_e_00(colour.intended, colour.printed), 0.0),
            ),
            after_compensation: after_compensation(press, &area, lost_above),
            loss: area.mean_beyond(&clipped, lost_above),
            lost,
            places: None,
            inconstancy: inconstancy(press, &area),
        }
    }
}

impl Verdict {
    /// Takes the percentiles from the verdict on pixels of the same picture: those over cells of mean
    /// colours lie a little too low.
    #[must_use]
    pub fn with_percentiles_of(self, pixels: &Self) -> Self {
        self.with_statistics(pixels, DifferenceStatistics::with_percentile_of)
    }

    /// Takes the largest differences from the verdict on narrower cells of the same picture, which
    /// differ more than their mean colours do.
    #[must_use]
    pub fn with_largest_of(self, narrower: &Self) -> Self {
        let mut verdict = self.with_statistics(narrower, DifferenceStatistics::with_max_of);
        for lost in &mut verdict.lost {
            let same = narrower.lost.iter().filter(|other| other.region == lost.region);
            lost.largest = same.map(|other| other.largest).fold(lost.largest, f64::max);
        }
        verdict
    }

    /// Takes from the statistics of another verdict what `take` says.
    fn with_statistics(
        self,
        other: &Self,
        take: fn(DifferenceStatistics, &DifferenceStatistics) -> DifferenceStatistics,
    ) -> Self {
        let after = self.after_compensation.zip(other.after_compensation);
        let inconstancy = self.inconstancy.zip(other.inconstancy);
        Self {
            against_intended: take(self.against_intended, &other.against_intended),
            after_compensation: after.map(|(own, other)| AfterCompensation {
                differences: take(own.differences, &other.differences),
                ..own
            }),
            inconstancy: inconstancy.map(|(own, other)| Inconstancy {
                differences: take(own.differences, &other.differences),
                ..own
            }),
            ..self
        }
    }
}

/// Shadows may be lost over any area and still be a named exception: a print's black is that of
/// its paper and inks, and black-point compensation is made to carry what lies below it.
fn holding(out_of_gamut: Share, lost: &[LostRegion], thresholds: &Thresholds) -> Holding {
    let of_colours = lost.iter().filter(|lost| lost.region != ColourRegion::Shadows);
    let of_colours: f64 = of_colours.map(|lost| lost.share.to_fraction()).sum();
    if out_of_gamut <= thresholds.holds() {
        Holding::Holds
    } else if of_colours <= thresholds.holds_all_but().to_fraction() {
        Holding::HoldsAllBut
    } else {
        Holding::Loses
    }
}

fn after_compensation(
    press: &ProofPress<'_>,
    area: &Area<'_>,
    lost_above: f64,
) -> Option<AfterCompensation> {
    if !matches!(press.rendering(), Rendering::BlackPointCompensated { .. }) {
        return None;
    }
    let differences = area.differences(|colour| delta_e_00(colour.asked, colour.printed), 0.0);
    Some(AfterCompensation {
        out_of_gamut: area.share_above(&differences, lost_above),
        differences: DifferenceStatistics::of(&differences),
    })
}

fn inconstancy(press: &ProofPress<'_>, area: &Area<'_>) -> Option<Inconstancy> {
    let paper = press.separation().model()?.paper();
    let differences =
        area.differences(|colour| colour.inconstancy.unwrap_or(0.0), press.inconstancy(paper));
    Some(Inconstancy {
        differences: DifferenceStatistics::of(&differences),
        reliable: paper.bands().iter().all(|reflectance| *reflectance <= 1.0),
    })
}

/// A picture's colours with its bare paper.
struct Area<'picture> {
    colours: &'picture [(ProvedColour, u64)],
    unprinted: u64,
    pixels: u64,
}

impl<'picture> Area<'picture> {
    fn of(colours: &'picture [(ProvedColour, u64)], unprinted: u64) -> Self {
        let printed: u64 = colours.iter().map(|(_, pixels)| pixels).sum();
        Self { colours, unprinted, pixels: printed + unprinted }
    }

    /// The difference of each colour with its pixels, and that of the bare paper last.
    fn differences(&self, of: impl Fn(&ProvedColour) -> f64, paper: f64) -> Vec<(f64, u64)> {
        let printed = self.colours.iter().map(|(colour, pixels)| (of(colour), *pixels));
        printed.chain([(paper, self.unprinted)]).collect()
    }

    fn share_above(&self, differences: &[(f64, u64)], threshold: f64) -> Share {
        let above = differences.iter().filter(|(difference, _)| *difference > threshold);
        self.share(above.map(|(_, pixels)| pixels).sum())
    }

    fn mean_beyond(&self, differences: &[(f64, u64)], threshold: f64) -> f64 {
        let beyond = differences
            .iter()
            .map(|(difference, pixels)| real(*pixels) * (difference - threshold).max(0.0));
        beyond.sum::<f64>() / real(self.pixels.max(1))
    }

    fn share(&self, pixels: u64) -> Share {
        Share::from_fraction(real(pixels) / real(self.pixels.max(1))).unwrap_or(Share::MAX)
    }

    fn lost_regions(&self, clipped: &[(f64, u64)], threshold: f64) -> Vec<LostRegion> {
        let mut lost = ColourRegion::ALL.map(|region| (region, 0_u64, 0.0_f64));
        for ((colour, pixels), (difference, _)) in self.colours.iter().zip(clipped) {
            if *difference > threshold {
                let region = ColourRegion::of(colour.intended);
                let (_, area, largest) = &mut lost[region as usize];
                *area += pixels;
                *largest = largest.max(*difference);
            }
        }
        lost.sort_by_key(|(region, pixels, _)| (u64::MAX - pixels, *region));
        lost.into_iter()
            .filter(|(_, pixels, _)| *pixels > 0)
            .map(|(region, pixels, largest)| LostRegion {
                region,
                share: self.share(pixels),
                largest,
            })
            .collect()
    }
}
