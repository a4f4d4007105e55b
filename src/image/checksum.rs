//! The checksum of an image.

use crc::{CRC_16_IBM_3740, CRC_16_MODBUS, CRC_32_ISO_HDLC, Crc};
use thiserror::Error;

use super::number::{ordered, whole_number_in};
use crate::project::{AddressRange, Checksum, ChecksumKind, ImageLayout};

/// A stored checksum that is not that of the bytes.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "the checksum ({name}) stored at {stored_at:X} is {stored:0digits$X}, but bytes {covered} give {computed:0digits$X}; the image is damaged, or it was made by another layout",
    name = name(*.kind), digits = digits(*.kind), covered = AddressRange::new(*.from, *.to)
)]
pub struct ChecksumMismatch {
    /// How it is computed.
    pub kind: ChecksumKind,
    /// The first address covered.
    pub from: u64,
    /// The address after the last one covered.
    pub to: u64,
    /// Where it is stored.
    pub stored_at: u32,
    /// What is stored.
    pub stored: u32,
    /// What the bytes give.
    pub computed: u32,
}

/// The name of a checksum in G. Cook's "Catalogue of parametrised CRC algorithms" (CRC RevEng, 2010s, from memory).
pub const fn name(kind: ChecksumKind) -> &'static str {
    match kind {
        ChecksumKind::None => "none",
        ChecksumKind::Sum8 => "8-bit sum",
        ChecksumKind::Crc16CcittFalse => "CRC-16/IBM-3740",
        ChecksumKind::Crc16Modbus => "CRC-16/MODBUS",
        ChecksumKind::Crc32IsoHdlc => "CRC-32/ISO-HDLC",
    }
}

/// Hexadecimal digits of the stored checksum.
pub const fn digits(kind: ChecksumKind) -> usize {
    2 * kind.size() as usize
}

/// The checksum of some bytes; `None` if the kind is none.
pub fn checksum_of(kind: ChecksumKind, bytes: &[u8]) -> Option<u32> {
    match kind {
        ChecksumKind::None => None,
        ChecksumKind::Sum8 => Some(bytes.iter().fold(0_u8, |sum, byte| sum.wrapping_add(*byte)).into()),
        ChecksumKind::Crc16CcittFalse => Some(Crc::<u16>::new(&CRC_16_IBM_3740).checksum(bytes).into()),
        ChecksumKind::Crc16Modbus => Some(Crc::<u16>::new(&CRC_16_MODBUS).checksum(bytes).into()),
        ChecksumKind::Crc32IsoHdlc => Some(Crc::<u32>::new(&CRC_32_ISO_HDLC).checksum(bytes)),
    }
}

/// Computes the checksum and stores it in the image's byte order; returns it.
pub(super) fn store(layout: &ImageLayout, image: &mut [u8]) -> Option<u32> {
    let sum = checksum_of(layout.checksum.kind, covered(layout, image)?)?;
    let size = layout.checksum.kind.size() as usize;
    let at = stored_at(layout);
    let place = image.get_mut(at..at + size)?;
    place.copy_from_slice(&ordered(&sum.to_le_bytes()[..size], layout.byte_order));
    Some(sum)
}

/// Compares the stored checksum with the bytes; returns it.
///
/// # Errors
/// [`ChecksumMismatch`] with both.
pub(super) fn verify(layout: &ImageLayout, image: &[u8]) -> Result<Option<u32>, ChecksumMismatch> {
    let Checksum { kind, from, length, stored_at: address } = layout.checksum;
    let at = stored_at(layout);
    let Some(computed) = covered(layout, image).and_then(|bytes| checksum_of(kind, bytes)) else {
        return Ok(None);
    };
    let stored = image.get(at..at + kind.size() as usize).map_or(0, |bytes| whole_number_in(bytes, layout.byte_order));
    if stored == computed {
        return Ok(Some(stored));
    }
    let to = u64::from(from) + u64::from(length);
    Err(ChecksumMismatch { kind, from: from.into(), to, stored_at: address, stored, computed })
}

fn stored_at(layout: &ImageLayout) -> usize {
    layout.checksum.stored_at.saturating_sub(layout.start) as usize
}

fn covered<'a>(layout: &ImageLayout, image: &'a [u8]) -> Option<&'a [u8]> {
    let from = layout.checksum.from.checked_sub(layout.start)? as usize;
    image.get(from..from + layout.checksum.length as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values of "123456789" from G. Cook, "Catalogue of parametrised CRC algorithms", CRC RevEng, 2010s, from memory;
    /// the sum is 477 = 1DD by hand.
    #[test]
    fn meets_the_catalogues_check_values() {
        let check = |kind| checksum_of(kind, b"123456789");
        assert_eq!(check(ChecksumKind::Crc32IsoHdlc), Some(0xCBF4_3926));
        assert_eq!(check(ChecksumKind::Crc16CcittFalse), Some(0x29B1));
        assert_eq!(check(ChecksumKind::Crc16Modbus), Some(0x4B37));
        assert_eq!(check(ChecksumKind::Sum8), Some(0xDD));
        assert_eq!(check(ChecksumKind::None), None);
    }

    #[test]
    fn a_mismatch_tells_both_and_where() {
        let error = ChecksumMismatch {
            kind: ChecksumKind::Crc16Modbus,
            from: 0x8000,
            to: 0xBFFE,
            stored_at: 0xBFFE,
            stored: 0xA,
            computed: 0xBEEF,
        };
        assert_eq!(
            error.to_string(),
            "the checksum (CRC-16/MODBUS) stored at BFFE is 000A, but bytes 8000 to BFFD give BEEF; the image is damaged, or it was made by another layout"
        );
    }
}
