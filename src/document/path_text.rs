//! Paths as one line of text that can be read back exactly, whatever bytes a file name has.

use std::path::{Path, PathBuf};

/// Percent-encodes (RFC 3986, section 2.1) every byte outside the printable ASCII range, and the percent sign.
pub(super) fn encode(path: &Path) -> String {
    use std::fmt::Write;
    let mut text = String::new();
    for &byte in path.as_os_str().as_encoded_bytes() {
        if (0x20..0x7f).contains(&byte) && byte != b'%' {
            text.push(char::from(byte));
        } else {
            // Writing to a string cannot fail.
            let _ = write!(text, "%{byte:02X}");
        }
    }
    text
}

/// The path of an encoded text; `None` if it is not one.
pub(super) fn decode(text: &str) -> Option<PathBuf> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&byte, after)) = rest.split_first() {
        rest = after;
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let (digits, after) = rest.split_at_checked(2)?;
        let digits = std::str::from_utf8(digits).ok().filter(|digits| !digits.starts_with('+'))?;
        bytes.push(u8::from_str_radix(digits, 16).ok()?);
        rest = after;
    }
    path_of(bytes).filter(|path| !path.as_os_str().is_empty())
}

#[cfg(unix)]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    use std::os::unix::ffi::OsStringExt;
    Some(std::ffi::OsString::from_vec(bytes).into())
}

#[cfg(not(unix))]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    String::from_utf8(bytes).ok().map(PathBuf::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_plain_path_stays_readable_and_broken_text_is_no_path() {
        assert_eq!(encode(Path::new("/cars/tarn 100 %.ron")), "/cars/tarn 100 %25.ron");
        for broken in ["", "%", "%4", "%zz", "a%+1"] {
            assert_eq!(decode(broken), None, "{broken}");
        }
    }

    #[cfg(unix)]
    proptest! {
        #[test]
        fn every_path_reads_back(bytes in prop::collection::vec(1_u8.., 1..80)) {
            let path = path_of(bytes).unwrap();
            let text = encode(&path);
            prop_assert!(text.is_ascii() && !text.contains('\n'));
            prop_assert_eq!(decode(&text), Some(path));
        }
    }
}
