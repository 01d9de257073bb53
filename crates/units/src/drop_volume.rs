use crate::quantity::quantity;

quantity! {
    /// The volume of one ink drop in picolitres.
    DropVolume, "drop volume", "pl", 0.1, 1000.0, from_picolitres, to_picolitres
}
