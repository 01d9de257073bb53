use dosing::Calibration;

use crate::{Assumption, EstimatingError, PreparedSet};

/// A calibration with the name by which reports call it, and what it was made for.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceCalibration {
    /// Name and version.
    pub label: String,
    /// Name of the ink set.
    pub ink_set: String,
    /// Fingerprint of the ink set when it was made.
    pub fingerprint: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Names of the inks, in the order of the values' channels.
    pub inks: Vec<String>,
    /// The values.
    pub values: Calibration,
}

impl DeviceCalibration {
    /// Refuses a calibration of another device.
    pub(crate) fn check_against(&self, prepared: &PreparedSet) -> Result<(), EstimatingError> {
        let set = prepared.set();
        let print_mode = &prepared.print_mode().name;
        if (&self.ink_set, &self.print_mode) != (&set.name, print_mode) {
            return Err(EstimatingError::CalibrationOfOtherDevice {
                label: self.label.clone(),
                of: device(&self.ink_set, &self.print_mode),
                wanted: device(&set.name, print_mode),
            });
        }
        let has: Vec<&str> = set.inks.iter().map(|ink| ink.name.as_str()).collect();
        if self.inks != has {
            return Err(EstimatingError::CalibrationOfOtherInks {
                label: self.label.clone(),
                of: self.inks.join(", "),
                ink_set: set.name.clone(),
                has: has.join(", "),
            });
        }
        Ok(())
    }

    /// What a report must say of an estimate that uses it.
    pub(crate) fn assumptions(&self, prepared: &PreparedSet) -> Vec<Assumption> {
        let jobs = match self.values.jobs {
            1 => "1 measured job".to_owned(),
            jobs => format!("{jobs} measured jobs"),
        };
        let mut all = vec![Assumption::note(format!(
            "calibrated by {jobs} (calibration {}); one ink's reading scatters by {:.1} %",
            self.label,
            100.0 * self.values.scatter.to_fraction()
        ))];
        if self.fingerprint != prepared.set().fingerprint().to_string() {
            all.push(Assumption::warning(format!(
                "ink set `{}` has changed since calibration {} was made; fit it anew",
                self.ink_set, self.label
            )));
        }
        all
    }
}

fn device(ink_set: &str, print_mode: &str) -> String {
    format!("ink set `{ink_set}` in print mode `{print_mode}`")
}
