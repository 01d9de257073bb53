use estimating::DeviceCalibration;
use ledger::StoredCalibration;

/// A stored calibration as estimates take it; both shells, the service and the command line, read
/// calibrations from a ledger.
#[must_use]
pub fn device_calibration(stored: StoredCalibration) -> DeviceCalibration {
    DeviceCalibration {
        label: stored.label.to_string(),
        ink_set: stored.ink_set,
        fingerprint: stored.fingerprint,
        print_mode: stored.print_mode,
        inks: stored.inks,
        values: stored.calibration,
    }
}
