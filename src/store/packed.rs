//! Values, deflated.

use std::io::{self, Read as _, Write as _};

use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;

/// Bytes, deflated at the quickest level (RFC 1951).
#[must_use]
pub(super) fn pack(value: &[u8]) -> Vec<u8> {
    let mut packed = DeflateEncoder::new(Vec::with_capacity(value.len() / 3), Compression::fast());
    // a vector takes all that is written to it
    _ = packed.write_all(value);
    packed.finish().unwrap_or_default()
}

/// The bytes again, of which there are so many.
pub(super) fn unpack(packed: &[u8], length: u64) -> io::Result<Vec<u8>> {
    let mut value = Vec::with_capacity(usize::try_from(length).map_err(io::Error::other)?);
    DeflateDecoder::new(packed).take(length + 1).read_to_end(&mut value)?;
    if value.len() as u64 == length { Ok(value) } else { Err(io::ErrorKind::InvalidData.into()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_packed_is_there_again_and_only_at_its_length() {
        for value in [&b""[..], b"a", &vec![7; 100_000]] {
            let packed = pack(value);
            let length = value.len() as u64;
            assert_eq!(unpack(&packed, length).unwrap(), value);
            assert!(unpack(&packed, length + 1).is_err());
            assert!(length == 0 || unpack(&packed, length - 1).is_err());
        }
        assert!(pack(&vec![7; 100_000]).len() < 1000);
    }
}
