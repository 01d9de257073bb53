//! The portable anymap family (PBM, PGM, PPM and PAM): read row by row by our own code, because
//! its files have no header worth the name and are often huge.

mod header;
mod rows;

use std::io::{BufReader, Read};

use crate::bytes::Original;
use crate::limits::LeastBytes;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture};

use header::{Coding, Header};
use rows::PnmRows;

use colour::Orientation;

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let length = original.length();
    let start = original.first_bytes(header::LONGEST)?;
    let header = Header::read(&start)?;
    limits.check_size(FileFormat::Pnm, header.format.width, header.format.height)?;
    let least = header.least_bytes();
    if length < least && !opening.accept_damaged {
        let rows = (length.saturating_sub(header.bytes as u64)) / header.stored_row_bytes().max(1);
        let rows = u32::try_from(rows).unwrap_or(0);
        return Err(if header.coding == Coding::Digits || rows > 0 {
            IntakeError::cut_after(FileFormat::Pnm, rows, header.format.height)
        } else {
            implausible(&header, least, length)
        });
    }
    let trailing = length.saturating_sub(least);
    let notice = Notice::TrailingBytes { format: FileFormat::Pnm, bytes: trailing };
    let trailing = header.coding != Coding::Digits && trailing > 0;
    let content_hash = original.content_hash()?;
    let mut bytes =
        original.buffered().map_err(|fault| IntakeError::reading("reading the PNM file", fault))?;
    bytes
        .read_exact(&mut vec![0; header.bytes])
        .map_err(|fault| IntakeError::reading("reading the PNM file", fault))?;
    Ok(Picture {
        file_format: FileFormat::Pnm,
        format: header.format,
        orientation: Orientation::Upright,
        resolution: None,
        pages: 1,
        profile: None,
        notices: trailing.then_some(notice).into_iter().collect(),
        content_hash,
        rows: Box::new(PnmRows::new(header, bytes)),
    })
}

fn implausible(header: &Header, least_bytes: u64, file_bytes: u64) -> IntakeError {
    let least = LeastBytes { bytes: least_bytes, reason: "its rows are stored in full" };
    let refused = least.check(FileFormat::Pnm, &header.format, file_bytes);
    refused.err().unwrap_or_else(|| IntakeError::cut_in_header(FileFormat::Pnm))
}

type PnmBytes = BufReader<Original>;
