//! The seal of a row: a checksum of everything in it.
//!
//! SQLite's own integrity check does not see a changed byte inside a row's data; the seal does. It is
//! the first 8 bytes of a SHA-256 (FIPS 180-4): against accidents, not against a forger.

use rusqlite::types::ValueRef;
use sha2::{Digest, Sha256};

/// The seal of a row over its table's name, its key and its other columns, types and lengths included.
pub(crate) fn seal<'v>(table: &str, values: impl IntoIterator<Item = ValueRef<'v>>) -> i64 {
    let mut bytes = Vec::with_capacity(256);
    bytes.extend_from_slice(table.as_bytes());
    for value in values {
        match value {
            ValueRef::Null => bytes.push(b'0'),
            ValueRef::Integer(number) => {
                bytes.push(b'i');
                bytes.extend_from_slice(&number.to_le_bytes());
            }
            ValueRef::Real(number) => {
                bytes.push(b'r');
                bytes.extend_from_slice(&number.to_le_bytes());
            }
            ValueRef::Text(text) => append(&mut bytes, b't', text),
            ValueRef::Blob(blob) => append(&mut bytes, b'b', blob),
        }
    }
    let digest = Sha256::digest(&bytes);
    let mut first = [0; 8];
    for (to, from) in first.iter_mut().zip(digest) {
        *to = from;
    }
    i64::from_be_bytes(first)
}

/// A tag, the length and the bytes: no two lists of values give the same bytes.
fn append(bytes: &mut Vec<u8>, tag: u8, content: &[u8]) {
    bytes.push(tag);
    bytes.extend_from_slice(&(content.len() as u64).to_le_bytes());
    bytes.extend_from_slice(content);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn type_order_and_place_of_values_count() {
        let one = seal("test", [ValueRef::Integer(1), ValueRef::Text(b"ab"), ValueRef::Text(b"c")]);
        assert_ne!(
            one,
            seal("away", [ValueRef::Integer(1), ValueRef::Text(b"ab"), ValueRef::Text(b"c")])
        );
        assert_ne!(
            one,
            seal("test", [ValueRef::Integer(1), ValueRef::Text(b"a"), ValueRef::Text(b"bc")])
        );
        assert_ne!(
            one,
            seal("test", [ValueRef::Real(1.0), ValueRef::Text(b"ab"), ValueRef::Text(b"c")])
        );
        assert_ne!(
            one,
            seal("test", [ValueRef::Integer(1), ValueRef::Blob(b"ab"), ValueRef::Text(b"c")])
        );
    }

    #[test]
    fn the_seal_is_the_beginning_of_a_sha_256() {
        // FIPS 180-4 example: SHA-256("abc") = ba7816bf 8f01cfea ...
        assert_eq!(seal("abc", []).to_be_bytes(), [0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea]);
    }
}
