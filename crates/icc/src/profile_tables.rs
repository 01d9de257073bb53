/// A one-dimensional function from 0 to 1 to 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub enum ProfileCurve {
    /// Leaves values as they are.
    Straight,
    /// Raises values to a power.
    Power(f64),
    /// The lightness of CIELAB as a share, of a luminance as a share (CIE 15).
    Lightness,
    /// Values at equal steps from 0 to 1, straight between them; two to 4096.
    Points(Vec<f64>),
}

/// A linear map of three numbers with an offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfileMatrix {
    /// By output.
    pub rows: [[f64; 3]; 3],
    /// Added to each output.
    pub offset: [f64; 3],
}

/// Vectors at the nodes of a grid over a cube of any number of dimensions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GridTable {
    /// Nodes on each axis, 2 to 255.
    pub nodes: Vec<u8>,
    /// Numbers of a vector.
    pub outputs: usize,
    /// The vectors, full scale 65,535; the last axis runs fastest.
    pub values: Vec<u16>,
}

impl GridTable {
    /// How many nodes there are.
    #[must_use]
    pub fn node_count(&self) -> usize {
        self.nodes.iter().map(|nodes| usize::from(*nodes)).product()
    }
}

/// From device values to XYZ relative to the paper, white being the connection space's with
/// Y = 1: curves, grid, curves, matrix.
#[derive(Clone, Debug, PartialEq)]
pub struct ForwardTables {
    /// One a colorant.
    pub device: Vec<ProfileCurve>,
    /// One axis a colorant, three outputs.
    pub grid: GridTable,
    /// One for each output of the grid.
    pub expansion: [ProfileCurve; 3],
    /// To X, Y, Z.
    pub matrix: ProfileMatrix,
}

/// From XYZ as above to device values, or to one number that tells whether a colour is out of
/// reach: matrix, curves, grid.
#[derive(Clone, Debug, PartialEq)]
pub struct InverseTables {
    /// From X, Y, Z to the axes of the grid.
    pub matrix: ProfileMatrix,
    /// One for each axis.
    pub axes: [ProfileCurve; 3],
    /// Three axes, one output a colorant.
    pub grid: GridTable,
}
