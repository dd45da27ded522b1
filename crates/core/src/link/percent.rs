//! Text in a fragment: percent-encoding after RFC 3986, section 2.1, blanks as `+`.

/// Appends a text, escaped so that chat and mail programs neither break nor cut the link.
pub(super) fn escape(text: &str, out: &mut String) {
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b':' | b',' => {
                out.push(char::from(byte));
            }
            b' ' => out.push('+'),
            _ => {
                const HEX: &[u8; 16] = b"0123456789ABCDEF";
                out.push('%');
                out.push(char::from(HEX[usize::from(byte >> 4)]));
                out.push(char::from(HEX[usize::from(byte & 15)]));
            }
        }
    }
}

/// The text that was escaped; `None` for a broken escape or bytes that are no UTF-8.
pub(super) fn unescape(text: &str) -> Option<String> {
    let mut out = Vec::with_capacity(text.len());
    let mut bytes = text.bytes();
    while let Some(byte) = bytes.next() {
        out.push(match byte {
            b'+' => b' ',
            b'%' => {
                let mut digit = || char::from(bytes.next()?).to_digit(16);
                let (high, low) = (digit()?, digit()?);
                u8::try_from(high * 16 + low).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(out).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn escapes_read_back() {
        for text in ["", "plain", "a b+c", "50 % & 1/2 = ü", "π→😀", "#v=1"] {
            let mut escaped = String::new();
            escape(text, &mut escaped);
            assert!(escaped.is_ascii() && !escaped.contains([' ', '&', '=', '#']), "{escaped}");
            assert_eq!(unescape(&escaped).as_deref(), Some(text));
        }
    }

    #[test]
    fn broken_escapes_are_none() {
        for text in ["%", "%4", "%zz", "%ff", "%C3", "%u0041", "a%-1"] {
            assert_eq!(unescape(text), None, "{text}");
        }
    }
}
