use colour::ColourModel;
use icc::SourceProfile;

use crate::{Assumption, ProfileUse};

/// What there is to give a picture's numbers their meaning.
pub(crate) struct ProfileChoice<'a> {
    /// The file's own profile.
    pub(crate) embedded: Option<&'a [u8]>,
    /// What the caller gave for files without one.
    pub(crate) assumed: Option<&'a SourceProfile>,
    /// What the numbers are.
    pub(crate) model: ColourModel,
}

impl ProfileChoice<'_> {
    /// The embedded profile if it can be used, or an assumption, said aloud.
    pub(crate) fn choose(&self, assumptions: &mut Vec<Assumption>) -> (SourceProfile, ProfileUse) {
        // CIELAB needs no profile: its numbers are colours.
        let embedded = self.embedded.filter(|_| self.model != ColourModel::Lab);
        match embedded.map(|bytes| SourceProfile::parse(bytes, self.model)) {
            Some(Ok(profile)) => {
                let description = profile.description().to_owned();
                assumptions.push(Assumption::note(format!("embedded profile: {description}")));
                (profile, ProfileUse::Embedded { description })
            }
            Some(Err(fault)) => {
                let (profile, used, name) = self.assume();
                assumptions.push(Assumption::warning(format!(
                    "the embedded profile can't be used ({fault}); {name} assumed"
                )));
                (profile, used)
            }
            None => {
                let (profile, used, name) = self.assume();
                assumptions.push(self.unsaid(&used, &name));
                (profile, used)
            }
        }
    }

    /// The caller's profile where it fits, or the usual one; with its name.
    fn assume(&self) -> (SourceProfile, ProfileUse, String) {
        if let Some(given) = self.assumed.filter(|given| given.model() == self.model) {
            let description = given.description().to_owned();
            return (
                given.clone(),
                ProfileUse::Given { description: description.clone() },
                description,
            );
        }
        let name = match self.model {
            ColourModel::Gray => "gray with the sRGB tone curve".to_owned(),
            ColourModel::Rgb => "sRGB".to_owned(),
            model @ (ColourModel::Cmyk | ColourModel::Lab) => {
                SourceProfile::assumed(model).description().to_owned()
            }
        };
        (SourceProfile::assumed(self.model), ProfileUse::Assumed, name)
    }

    /// Nothing says what CMYK without a profile was made for: presses differ far more than
    /// screens do.
    fn unsaid(&self, used: &ProfileUse, name: &str) -> Assumption {
        let text = match self.model {
            ColourModel::Lab => format!("colours are stored as {name}"),
            _ => format!("no embedded profile; {name} assumed"),
        };
        if self.model == ColourModel::Cmyk && *used == ProfileUse::Assumed {
            Assumption::warning(format!("{text}; pass --assume-profile to name another"))
        } else {
            Assumption::note(text)
        }
    }
}
