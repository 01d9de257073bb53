//! The numbers of the schema, each with its key, its range and what it means.
//!
//! The ranges are our choice unless a source stands beside them: wide enough for any aqueous,
//! solvent or UV-curing device that we can think of, narrow enough to catch a slipped unit.

use strict_toml::quantities;

quantities! {
    // Spectra.
    /// Papers with brightener reach 1.3 near 440 nm.
    REFLECTANCE = "spectrum", 0.0 to 1.3 "", "write reflectances, not percentages";
    FIRST_NM = "first_nm", 300.0 to 380.0 " nm", "write the wavelength of the first value";
    /// ISO 13655 allows 20 nm at the coarsest.
    STEP_NM = "step_nm", 0.1 to 20.0 " nm", "write the distance between two values";

    // Inks.
    INK_LIMIT = "limit_percent", 1.0 to 100.0 " %",
        "write the highest coverage that the ink may reach";
    /// Common practice, no source: light inks have a third to a sixth; 1 and 99 leave room.
    DENSITY = "density_percent", 1.0 to 99.0 " %",
        "write the light ink's density as a share of the full-strength ink's";
    CARTRIDGE = "cartridge_ml", 1.0 to 100_000.0 " ml", "write the ink in a full cartridge";

    // Substrates.
    LOAD_LIMIT = "load_limit_ml_per_m2", 1.0 to 500.0 " ml/m²",
        "write the most ink that the sheet takes at one place";
    /// Up to twelve inks at full coverage.
    TOTAL_AREA_COVERAGE = "total_area_coverage_limit_percent", 50.0 to 1200.0 " %",
        "write the highest sum of coverages at one place";
    DARKEST = "darkest_reflectance", 0.0 to 0.5 "",
        "write the lowest reflectance that any mixture of inks reaches on the sheet";
    /// Fresnel reflection at a refractive index of 1.5 is 0.04; 45°:0° sees a part of it.
    SURFACE = "surface_reflectance", 0.0 to 0.2 "",
        "write the reflectance of the bare surface, which no ink hides";
    TRAPPING = "trapping_percent", 0.0 to 100.0 " %",
        "write how much of a later ink's absorption counts over an earlier one";
    /// 1 is Murray–Davies; above about 2 the factor only fits (Yule and Nielsen 1951).
    YULE_NIELSEN = "n", 1.0 to 10.0 "", "write the Yule–Nielsen factor";
    CURVE_COVERAGE = "coverage_percent", 0.0 to 100.0 " %", "write coverages of the family";
    CURVE_EFFECTIVE = "effective_percent", 0.0 to 100.0 " %", "write effective coverages";
    AMOUNT = "amounts_percent", 0.0 to 100.0 " %", "write the amount of each family in the patch";

    // Print modes.
    ACROSS = "across_dpi", 1.0 to 100_000.0 " dots per inch", "write the addressing along the carriage's way";
    ALONG = "along_dpi", 1.0 to 100_000.0 " dots per inch", "write the addressing along the sheet's way";
    DROPS_PER_CELL = "drops_per_cell", 0.01 to 32.0 " drops",
        "write the mean number of drops in a cell at the ink's limit";
    DROP_VOLUME = "drop_volumes_pl", 0.1 to 1000.0 " pl", "write drop volumes from small to large";
    ROW_COVERAGE = "coverage_percent", 0.0 to 100.0 " %", "write the coverage for which the shares hold";
    SHARE = "shares_percent", 0.0 to 100.0 " %", "write the share of each drop size among the drops";
    LAY_DOWN = "lay_down_ml_per_m2", 0.01 to 200.0 " ml/m²", "write the ink of one channel at its limit";
    DEVICE = "device_percent", 0.0 to 100.0 " %", "write device values";

    // Separation.
    BLACK_REPLACEMENT = "black_replacement_percent", 0.0 to 100.0 " %",
        "write the share of a neutral's possible black that is used";
    BLACK_START = "black_start_lightness", 0.0 to 100.0 " (L*)",
        "write the lightness below which black begins";
    BLACK_CURVE = "black_curve_exponent", 0.2 to 5.0 "",
        "write the exponent of black's rise, 1 for a straight one";
    CROSSOVER = "crossover_percent", 1.0 to 100.0 " %",
        "write the coverage of the light ink at which the darker one begins";
    FAMILY_LIMIT = "family_limit_percent", 1.0 to 100.0 " %", "write the highest amount of the family";

    // Machine.
    WIDEST = "widest_sheet_cm", 1.0 to 2000.0 " cm", "write the width of the widest sheet";
    IDLE = "idle_ml_per_day", 0.0 to 10_000.0 " ml", "write the ink used each day without printing";
    CLEANING = "cleaning_ml", 0.0 to 10_000.0 " ml", "write the ink used by one cleaning";
    START_UP = "start_up_ml", 0.0 to 10_000.0 " ml", "write the ink used at the start of a job";
    CLEANINGS = "cleanings_per_month", 0.0 to 1000.0 " cleanings",
        "write the cleanings of an average month";
    HEADS = "heads", 1.0 to 100.0 " heads", "write the number of heads";
    HEAD_LIFE = "head_life_months", 1.0 to 600.0 " months",
        "write after how many months a head is replaced";
    RESIDUAL = "residual_percent", 0.0 to 50.0 " %",
        "write the share of a cartridge that stays in it when it counts as empty";
}
