//! The FIT checksum: CRC-16 with the reflected polynomial 0xA001, known as CRC-16/ARC.

const TABLE: [u16; 256] = table();

const fn table() -> [u16; 256] {
    let mut table = [0; 256];
    let mut byte = 0_u16;
    while byte < 256 {
        let mut remainder = byte;
        let mut bit = 0;
        while bit < 8 {
            let carry = remainder & 1 == 1;
            remainder >>= 1;
            if carry {
                remainder ^= 0xA001;
            }
            bit += 1;
        }
        table[byte as usize] = remainder;
        byte += 1;
    }
    table
}

fn checksum(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0, |sum, &byte| {
        let index = usize::from(sum.to_le_bytes()[0] ^ byte);
        (sum >> 8) ^ TABLE.get(index).copied().unwrap_or_default()
    })
}

/// Whether a whole part, with its checksum at its end, agrees with itself. Bytes followed by their
/// own checksum have the checksum zero.
///
/// The checksum covers the header too; that makes no difference where the header carries its own.
/// Writers that leave that one at zero may or may not count the header: both are right here.
pub(super) fn matches(part: &[u8], header: usize) -> bool {
    if checksum(part) == 0 {
        return true;
    }
    let header_has_none = header == 14 && part.get(12..14) == Some(&[0, 0]);
    header_has_none && part.get(header..).is_some_and(|data| checksum(data) == 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_check_value() {
        // the CRC catalogue gives 0xBB3D over "123456789" for CRC-16/ARC
        assert_eq!(checksum(b"123456789"), 0xBB3D);
    }

    #[test]
    fn a_header_without_its_own_checksum_may_be_counted_or_not() {
        let mut part = vec![14, 16, 0, 0, 4, 0, 0, 0, b'.', b'F', b'I', b'T', 0, 0, 1, 2, 3, 4];
        let (with, without) = (checksum(&part), checksum(&part[14..]));
        for sum in [with, without] {
            let whole = [part.as_slice(), &sum.to_le_bytes()].concat();
            assert!(matches(&whole, 14));
        }
        part.extend([0x12, 0x34]);
        assert!(!matches(&part, 14));
    }
}
