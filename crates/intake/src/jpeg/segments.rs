use crate::{Notice, Resolution, ResolutionSource, resolution::believe};

const EXIF_MARK: &[u8] = b"Exif\0\0";
const JFIF_MARK: &[u8] = b"JFIF\0";
/// Mark of the APP14 segment that states the colour transform.
const TRANSFORM_MARK: &[u8] = b"Adobe";
/// Mark of a piece of a profile (ICC.1:2022, annex B.4); its number and the total follow.
const PROFILE_MARK: &[u8] = b"ICC_PROFILE\0";

/// What the application segments before the picture state.
#[derive(Default)]
pub(super) struct Segments {
    exif: Option<Vec<u8>>,
    jfif: Option<Vec<u8>>,
    colour_transform: Option<u8>,
    pieces: Vec<ProfilePiece>,
}

struct ProfilePiece {
    number: u8,
    total: u8,
    bytes: Vec<u8>,
}

impl Segments {
    /// Whether the segment of a marker may state something that is kept.
    pub(super) const fn may_matter(marker: u8) -> bool {
        matches!(marker, 0xe0 | 0xe1 | 0xe2 | 0xee)
    }

    /// Keeps what matters of a segment. Of Exif and JFIF the first counts.
    pub(super) fn keep(&mut self, marker: u8, body: &[u8]) {
        match marker {
            0xe0 => {
                if let (None, Some(rest)) = (&self.jfif, body.strip_prefix(JFIF_MARK)) {
                    self.jfif = Some(rest.to_vec());
                }
            }
            0xe1 => {
                if let (None, Some(rest)) = (&self.exif, body.strip_prefix(EXIF_MARK)) {
                    self.exif = Some(rest.to_vec());
                }
            }
            0xe2 => self.pieces.extend(ProfilePiece::read(body)),
            0xee if body.starts_with(TRANSFORM_MARK) => {
                self.colour_transform = body.get(11).copied();
            }
            _ => {}
        }
    }

    pub(super) fn exif(&self) -> Option<&[u8]> {
        self.exif.as_deref()
    }

    /// The colour transform of the APP14 segment, if there is one: 0 none, 1 YCbCr, 2 YCCK.
    pub(super) const fn colour_transform(&self) -> Option<u8> {
        self.colour_transform
    }

    /// The density, if it is one in units of length and not only a shape of pixels.
    pub(super) fn density(&self) -> Option<Result<Resolution, Notice>> {
        // After the mark: version (2 bytes), unit, X and Y density (ITU-T T.871, 10.1).
        let fields = self.jfif.as_ref()?.get(2..7)?;
        let units_per_inch = match fields[0] {
            1 => 1.0,
            2 => 2.54,
            _ => return None,
        };
        let density = |high, low| f64::from(u16::from_be_bytes([high, low])) * units_per_inch;
        let (across, along) = (density(fields[1], fields[2]), density(fields[3], fields[4]));
        Some(believe(ResolutionSource::JfifDensity, across, along))
    }

    /// Bytes of all pieces of a profile so far.
    pub(super) fn profile_bytes(&self) -> u64 {
        self.pieces.iter().map(|piece| piece.bytes.len() as u64).sum()
    }

    /// The profile in the order of its pieces; `None` without one. Pieces count from 1; from 0 in
    /// files of the `mozjpeg` crate, which is as clear.
    ///
    /// # Errors
    ///
    /// Pieces that are missing or doubled.
    pub(super) fn profile(&self) -> Result<Option<Vec<u8>>, Notice> {
        let Some(total) = self.pieces.first().map(|piece| piece.total) else {
            return Ok(None);
        };
        let mut pieces: Vec<_> = self.pieces.iter().collect();
        pieces.sort_by_key(|piece| piece.number);
        let first = pieces.first().map_or(1, |piece| piece.number.min(1));
        let numbers = pieces.iter().map(|piece| (u16::from(piece.number), piece.total));
        let wanted = (0..u16::from(total)).map(|place| (u16::from(first) + place, total));
        if numbers.eq(wanted) {
            Ok(Some(pieces.iter().flat_map(|piece| &piece.bytes).copied().collect()))
        } else {
            let found = pieces.len();
            let reason = format!("{found} pieces are there, not 1 to {total} once each");
            Err(Notice::ProfileUnusable { reason })
        }
    }
}

impl ProfilePiece {
    fn read(body: &[u8]) -> Option<Self> {
        let rest = body.strip_prefix(PROFILE_MARK)?;
        let (&[number, total], bytes) = rest.split_first_chunk()?;
        Some(Self { number, total, bytes: bytes.to_vec() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with_pieces(pieces: &[(u8, u8, &[u8])]) -> Segments {
        let mut segments = Segments::default();
        for (number, total, bytes) in pieces {
            let body = [PROFILE_MARK, &[*number, *total], *bytes].concat();
            segments.keep(0xe2, &body);
        }
        segments
    }

    #[test]
    fn pieces_of_a_profile_are_put_in_order() {
        let segments = with_pieces(&[(2, 2, b"cd"), (1, 2, b"ab")]);
        assert_eq!(segments.profile(), Ok(Some(b"abcd".to_vec())));
        let from_zero = with_pieces(&[(1, 2, b"cd"), (0, 2, b"ab")]);
        assert_eq!(from_zero.profile(), Ok(Some(b"abcd".to_vec())));
    }

    #[test]
    fn a_missing_doubled_or_surplus_piece_makes_the_profile_unusable() {
        for pieces in [
            &[(1, 2, &b"ab"[..])][..],
            &[(1, 2, b"ab"), (1, 2, b"ab")],
            &[(1, 1, b"ab"), (2, 2, b"cd")],
            &[(0, 0, b"ab")],
        ] {
            assert!(with_pieces(pieces).profile().is_err());
        }
    }

    #[test]
    fn a_density_per_centimetre_is_turned_into_inches() {
        let mut segments = Segments::default();
        segments.keep(0xe0, b"JFIF\0\x01\x02\x02\0\x64\0\x64\0\0");
        let density = segments.density().unwrap().unwrap();
        assert!((density.across.to_dots_per_inch() - 254.0).abs() < 1e-9);
    }

    #[test]
    fn a_density_without_unit_states_nothing() {
        let mut segments = Segments::default();
        segments.keep(0xe0, b"JFIF\0\x01\x02\0\0\x01\0\x01\0\0");
        assert!(segments.density().is_none());
    }
}
