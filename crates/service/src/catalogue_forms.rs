use inkset::{InkSet, Provenance};
use pricing::PriceList;
use proof::to_srgb;
use serde::Serialize;
use units::UnitError;
use utoipa::ToSchema;

/// An ink set on offer.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct InkSetForm {
    /// The name by which it is asked for.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Whether its numbers are made up.
    pub invented: bool,
    /// Identifies its content.
    pub fingerprint: String,
    /// The substrates, the default first.
    pub substrates: Vec<String>,
    /// The print modes, the default first.
    pub print_modes: Vec<String>,
    /// The inks in the device's order.
    pub inks: Vec<InkForm>,
}

/// An ink of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct InkForm {
    /// Name of the ink.
    pub name: String,
    /// Inks of one hue are a family.
    pub family: String,
    /// The colour of its measured solid in sRGB, `#rrggbb`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub srgb: Option<String>,
}

/// A price list on offer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct PriceListForm {
    /// The name by which it is asked for.
    pub name: String,
    /// Code of ISO 4217.
    pub currency: String,
    /// Its papers.
    pub papers: Vec<String>,
}

impl InkSetForm {
    pub(crate) fn of(set: &InkSet) -> Result<Self, UnitError> {
        let summary = set.summary()?;
        let ink = |ink: &inkset::InkSummary| InkForm {
            name: ink.name.clone(),
            family: ink.family.clone(),
            srgb: ink.solid.map(|solid| {
                let [red, green, blue] = to_srgb(solid);
                format!("#{red:02x}{green:02x}{blue:02x}")
            }),
        };
        Ok(Self {
            inks: summary.inks.iter().map(ink).collect(),
            name: summary.name,
            title: summary.title,
            invented: summary.provenance == Provenance::Invented,
            fingerprint: summary.fingerprint.to_string(),
            substrates: summary.substrates.into_iter().map(|one| one.name).collect(),
            print_modes: summary.print_modes.into_iter().map(|one| one.name).collect(),
        })
    }
}

impl PriceListForm {
    pub(crate) fn of(name: &str, list: &PriceList) -> Self {
        Self {
            name: name.to_owned(),
            currency: list.currency.code().to_owned(),
            papers: list.papers.iter().map(|paper| paper.name.clone()).collect(),
        }
    }
}
