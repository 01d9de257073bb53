//! The numbers of the schema, each with its key, its range and what it means.
//!
//! The ranges are our choice: wide enough for any studio that we can think of, narrow enough to
//! catch a slipped unit.

use strict_toml::quantities;

quantities! {
    // Ink.
    CARTRIDGE = "cartridge_ml", 1.0 to 100_000.0 " ml", "write the ink in a full cartridge";
    RESIDUAL = "residual_percent", 0.0 to 50.0 " %",
        "write the share of a cartridge that stays in it when it counts as empty";
    START_UP = "start_up_ml", 0.0 to 10_000.0 " ml", "write the ink used at the start of an order";
    CLEANING = "cleaning_ml", 0.0 to 10_000.0 " ml", "write the ink used by one cleaning";
    /// Ten cleanings an order: worse than any machine in use.
    CLEANINGS = "cleanings_per_order_percent", 0.0 to 1000.0 " %",
        "write the share of a cleaning that an order pays";

    // Paper and layout.
    ROLL_WIDTH = "width_cm", 1.0 to 2000.0 " cm", "write the whole width of the roll";
    GAP = "gap_mm", 0.0 to 1000.0 " mm", "write the free paper between neighbouring prints";
    TRIM = "trim_mm", 0.0 to 2000.0 " mm",
        "write the paper cut off before the first print and after the last one, each";
    SIDE_MARGIN = "side_margin_mm", 0.0 to 1000.0 " mm",
        "write the strip at either side of the roll that stays free";
    EDGE = "edge_mm", 0.0 to 200.0 " mm",
        "write the width by which the picture is carried on beyond each side";
    OVERSPRAY = "overspray_mm", 0.0 to 50.0 " mm",
        "write the width by which ink is fired beyond the edge";

    // Work.
    PER_ORDER = "minutes_per_order", 0.0 to 10_000.0 " minutes", "write the time of any order";
    PER_SQUARE_METRE = "minutes_per_m2", 0.0 to 10_000.0 " minutes",
        "write the time of a square metre of prints";

    // What is earned.
    SPOILAGE = "spoilage_percent", 0.0 to 100.0 " %",
        "write what is printed in vain, as a share of what is delivered";
    /// At 100 % of the price nothing would be left for the cost.
    MARGIN = "margin_percent", 0.0 to 95.0 " %", "write the share of the price that is earned";
    MARKUP = "markup_percent", 0.0 to 2000.0 " %", "write what is added to the cost";
    TAX = "percent", 0.0 to 100.0 " %", "write the tax as a share of the net price";
    FROM_COPIES = "from_copies", 2.0 to 1_000_000.0 " copies",
        "write the number of copies from which the discount holds";
    DISCOUNT = "discount_percent", 0.0 to 95.0 " %", "write the share of the price that is waived";

    // Jobs.
    WIDTH = "width_cm", 0.1 to 10_000.0 " cm", "write the printed width";
    HEIGHT = "height_cm", 0.1 to 10_000.0 " cm", "write the printed height";
    COPIES = "copies_per_month", 1.0 to 1_000_000.0 " copies", "write the prints of a month";
    ORDERS = "orders_per_month", 1.0 to 10_000.0 " orders",
        "write in how many orders the copies are printed";
}
