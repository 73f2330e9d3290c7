//! Bytes of a text file to text: byte order marks, UTF-8, UTF-16, and what an XML head declares.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// Enough of a file to see what it is.
const HEAD: usize = 64 << 10;

/// The beginning of the bytes, for telling formats apart without decoding everything.
pub(crate) fn head(bytes: &[u8]) -> &[u8] {
    bytes.get(..HEAD).unwrap_or(bytes)
}

/// The text of the bytes, without a byte order mark. What no encoding explains is replaced, never
/// refused: numbers and names are plain ASCII in all of them.
pub(crate) fn decode(bytes: &[u8]) -> Cow<'_, str> {
    let (encoding, mark) = Encoding::for_bom(bytes).unwrap_or_else(|| (guess(bytes), 0));
    let bytes = bytes.get(mark..).unwrap_or_default();
    encoding.decode_without_bom_handling(bytes).0
}

fn guess(bytes: &[u8]) -> &'static Encoding {
    match bytes {
        [b'<', 0, ..] => return UTF_16LE,
        [0, b'<', ..] => return UTF_16BE,
        _ => {}
    }
    if let Some(declared) = declared(bytes) {
        return declared;
    }
    // a cut in mid character is no reason to take UTF-8 for Latin-1
    match std::str::from_utf8(bytes) {
        Err(error) if error.error_len().is_some() => WINDOWS_1252,
        _ => UTF_8,
    }
}

/// What an XML declaration says, where the bytes can be in it.
fn declared(bytes: &[u8]) -> Option<&'static Encoding> {
    let start = bytes.get(..200).unwrap_or(bytes);
    if !start.starts_with(b"<?xml") {
        return None;
    }
    let end = start.iter().position(|&byte| byte == b'>')?;
    let declaration = std::str::from_utf8(start.get(..end)?).ok()?;
    let (_, after) = declaration.split_once("encoding")?;
    let label = after.split(['"', '\'']).nth(1)?;
    // bytes that could be read so far are not UTF-16, whatever they say
    Encoding::for_label(label.as_bytes()).filter(|encoding| encoding.is_ascii_compatible())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf_16(text: &str, big: bool) -> Vec<u8> {
        let bytes = |unit: u16| if big { unit.to_be_bytes() } else { unit.to_le_bytes() };
        text.encode_utf16().flat_map(bytes).collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let text = "<?xml version='1.0'?><gpx>Läufer</gpx>";
        for big in [false, true] {
            assert_eq!(decode(&utf_16(text, big)), text);
            assert_eq!(decode(&utf_16(&format!("\u{feff}{text}"), big)), text);
        }
        assert_eq!(decode(format!("\u{feff}{text}").as_bytes()), text);
        assert_eq!(decode(b"L\xE4ufer"), "Läufer");
        let latin = b"<?xml version=\"1.0\" encoding='ISO-8859-1'?><gpx>\xE4</gpx>";
        assert!(decode(latin).ends_with("<gpx>ä</gpx>"));
        let liar = b"<?xml version=\"1.0\" encoding='UTF-16'?><gpx/>";
        assert!(decode(liar).ends_with("<gpx/>"));
    }

    #[test]
    fn a_cut_character_does_not_change_the_encoding() {
        assert_eq!(decode("Läu\u{e4}".as_bytes().split_last().unwrap().1), "Läu\u{fffd}");
    }
}
