//! Bytes of a text file to text, whatever wrote them.

/// Text of a file: UTF-16 by its byte order mark, else UTF-8, else Latin-1. The mark is dropped. Any bytes give a text.
pub fn decode(bytes: &[u8]) -> String {
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xef, 0xbb, 0xbf, rest @ ..] => narrow(rest),
        _ => narrow(bytes),
    }
}

fn wide(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> String {
    let units = bytes.as_chunks::<2>().0.iter().map(|&pair| unit(pair));
    char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
}

fn narrow(bytes: &[u8]) -> String {
    match core::str::from_utf8(bytes) {
        Ok(text) => text.into(),
        Err(_) => bytes.iter().map(|&b| char::from(b)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::decode;
    use crate::testing::test;

    #[test]
    fn texts_of_all_kinds() {
        for bytes in [
            &b"L\xe9"[..],
            "L\u{e9}".as_bytes(),
            b"\xef\xbb\xbfL\xc3\xa9",
            b"\xff\xfeL\0\xe9\0",
            b"\xfe\xff\0L\0\xe9",
        ] {
            assert_eq!(decode(bytes), "L\u{e9}", "{bytes:?}");
        }
        assert_eq!(decode(b""), "");
        assert_eq!(decode(b"\xff\xfe\0\xd8"), "\u{fffd}");
    }
}
