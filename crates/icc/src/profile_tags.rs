//! Tags of a written profile (ICC.1:2022, clause 10).

use crate::profile_bytes::{fixed, number, pad};
use crate::{ForwardTables, GridTable, InverseTables, ProfileCurve, ProfileMatrix};

/// X, Y, Z that an encoded 1 of the connection space stands for (ICC.1:2022, clause 6.3.4.2).
const FULL_XYZ: f64 = 1.0 + 32767.0 / 32768.0;

/// Bytes of a colorant's name, its ending NUL included (ICC.1:2022, table 34).
const COLORANT_NAME: usize = 32;

/// Most points of a curve; our choice, as much as 12-bit samples tell apart.
const MOST_POINTS: usize = 4096;

/// `multiLocalizedUnicodeType` with one English text.
pub(crate) fn text_tag(text: &str) -> Vec<u8> {
    let words: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut tag = b"mluc\0\0\0\0".to_vec();
    tag.extend(number(1));
    tag.extend(number(12));
    tag.extend(b"enGB");
    tag.extend(number(words.len()));
    tag.extend(number(28));
    tag.extend(words);
    tag
}

/// `XYZType` with one colour.
pub(crate) fn xyz_tag(colour: [f64; 3]) -> Vec<u8> {
    let mut tag = b"XYZ \0\0\0\0".to_vec();
    tag.extend(colour.into_iter().flat_map(fixed));
    tag
}

/// `colorantTableType`: names and solids.
pub(crate) fn colorant_table(colorants: &[(String, [f64; 3])]) -> Vec<u8> {
    let mut tag = b"clrt\0\0\0\0".to_vec();
    tag.extend(number(colorants.len()));
    for (name, solid) in colorants {
        let mut bytes = ascii(name, COLORANT_NAME - 1);
        bytes.resize(COLORANT_NAME, 0);
        tag.extend(bytes);
        // XYZ numbers of the connection space have 15 binary places.
        tag.extend(solid.iter().flat_map(|value| sample(value / FULL_XYZ).to_be_bytes()));
    }
    tag
}

/// `lutAToBType`: device curves, grid, curves, matrix, straight curves.
pub(crate) fn forward_tag(tables: &ForwardTables) -> Vec<u8> {
    let ForwardTables { device, grid, expansion, matrix } = tables;
    let encoded = scaled(matrix, 1.0 / FULL_XYZ, 1.0 / FULL_XYZ);
    let last = [ProfileCurve::Straight, ProfileCurve::Straight, ProfileCurve::Straight];
    Stages {
        signature: b"mAB ",
        inputs: device.len(),
        outputs: 3,
        b: &last,
        matrix: &encoded,
        m: expansion,
        grid,
        a: device,
    }
    .tag()
}

/// `lutBToAType`: straight curves, matrix, curves, grid, straight curves.
pub(crate) fn inverse_tag(tables: &InverseTables) -> Vec<u8> {
    let InverseTables { matrix, axes, grid } = tables;
    let encoded = scaled(matrix, FULL_XYZ, 1.0);
    let first = [ProfileCurve::Straight, ProfileCurve::Straight, ProfileCurve::Straight];
    Stages {
        signature: b"mBA ",
        inputs: 3,
        outputs: grid.outputs,
        b: &first,
        matrix: &encoded,
        m: axes,
        grid,
        a: &vec![ProfileCurve::Straight; grid.outputs],
    }
    .tag()
}

fn scaled(matrix: &ProfileMatrix, rows: f64, offset: f64) -> ProfileMatrix {
    ProfileMatrix {
        rows: matrix.rows.map(|row| row.map(|value| value * rows)),
        offset: matrix.offset.map(|value| value * offset),
    }
}

/// The five stages that both table types have, in whichever direction they run.
struct Stages<'a> {
    signature: &'a [u8; 4],
    inputs: usize,
    outputs: usize,
    b: &'a [ProfileCurve],
    matrix: &'a ProfileMatrix,
    m: &'a [ProfileCurve],
    grid: &'a GridTable,
    a: &'a [ProfileCurve],
}

impl Stages<'_> {
    fn tag(&self) -> Vec<u8> {
        const HEAD: usize = 32;
        let mut body = Vec::new();
        let mut places = Vec::new();
        for stage in
            [curves(self.b), matrix(self.matrix), curves(self.m), grid(self.grid), curves(self.a)]
        {
            places.extend(number(HEAD + body.len()));
            body.extend(stage);
            pad(&mut body);
        }
        let mut tag = self.signature.to_vec();
        tag.extend([0; 4]);
        tag.extend([self.inputs, self.outputs].map(|count| u8::try_from(count).unwrap_or(0)));
        tag.extend([0; 2]);
        tag.extend(places);
        tag.extend(body);
        tag
    }
}

fn matrix(matrix: &ProfileMatrix) -> Vec<u8> {
    matrix
        .rows
        .as_flattened()
        .iter()
        .chain(&matrix.offset)
        .flat_map(|value| fixed(*value))
        .collect()
}

fn grid(grid: &GridTable) -> Vec<u8> {
    let mut bytes = grid.nodes.clone();
    bytes.resize(16, 0);
    // Two bytes a value.
    bytes.extend([2, 0, 0, 0]);
    bytes.extend(grid.values.iter().flat_map(|value| value.to_be_bytes()));
    bytes
}

fn curves(curves: &[ProfileCurve]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for curve in curves {
        bytes.extend(curve_bytes(curve));
        pad(&mut bytes);
    }
    bytes
}

/// `curveType` or `parametricCurveType` (ICC.1:2022, tables 35 and 68).
fn curve_bytes(curve: &ProfileCurve) -> Vec<u8> {
    match curve {
        ProfileCurve::Straight => [&b"curv\0\0\0\0"[..], &number(0)].concat(),
        ProfileCurve::Power(exponent) => parametric(0, &[*exponent]),
        ProfileCurve::Lightness => parametric(4, &LIGHTNESS),
        ProfileCurve::Points(points) => {
            let points = &points[..points.len().min(MOST_POINTS)];
            let mut bytes = b"curv\0\0\0\0".to_vec();
            bytes.extend(number(points.len()));
            bytes.extend(points.iter().flat_map(|value| sample(*value).to_be_bytes()));
            bytes
        }
    }
}

/// 1.16 Y^⅓ − 0.16 from 216/24389 on, 24389/2700 Y below, as parameters g, a, b, c, d, e, f of
/// (aY + b)^g + e and cY + f.
const LIGHTNESS: [f64; 7] =
    [1.0 / 3.0, 1.16 * 1.16 * 1.16, 0.0, 24389.0 / 2700.0, 216.0 / 24389.0, -0.16, 0.0];

fn parametric(kind: u16, parameters: &[f64]) -> Vec<u8> {
    let mut bytes = b"para\0\0\0\0".to_vec();
    bytes.extend(kind.to_be_bytes());
    bytes.extend([0; 2]);
    bytes.extend(parameters.iter().flat_map(|value| fixed(*value)));
    bytes
}

/// A share as 16 bits.
fn sample(value: f64) -> u16 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 16 bits before"
    )]
    let sample = (value.clamp(0.0, 1.0) * f64::from(u16::MAX)).round() as u16;
    sample
}

/// Seven-bit letters, others replaced, no more than so many.
fn ascii(name: &str, most: usize) -> Vec<u8> {
    let plain =
        |letter: char| if letter.is_ascii_graphic() || letter == ' ' { letter } else { '?' };
    name.chars().take(most).map(|letter| plain(letter) as u8).collect()
}
