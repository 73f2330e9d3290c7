//! The fonts that come with the program: one face for everything, and letters for names in other
//! scripts.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::layout::Abs;
use typst::text::{Font, FontBook, FontInstance, FontVariant, FontVariations};
use typst::utils::LazyHash;

/// The family everything is set in.
pub const FAMILY: &str = "Source Sans 3";

macro_rules! font_files {
    ($($file:literal),* $(,)?) => {
        &[$(include_bytes!(concat!("../../../assets/fonts/", $file))),*]
    };
}

/// The bytes of every font file, the program's own face first, then the fallbacks in the order in
/// which they are tried. Sources and licences: `assets/third-party.md`.
pub fn files() -> &'static [&'static [u8]] {
    font_files![
        "SourceSans3-Regular.otf",
        "SourceSans3-Semibold.otf",
        "SourceSans3-Bold.otf",
        "SourceSans3-It.otf",
        "NotoSansArabic-Regular.ttf",
        "NotoSansArmenian-Regular.ttf",
        "NotoSansBengali-Regular.ttf",
        "NotoSansDevanagari-Regular.ttf",
        "NotoSansEthiopic-Regular.ttf",
        "NotoSansGeorgian-Regular.ttf",
        "NotoSansGujarati-Regular.ttf",
        "NotoSansGurmukhi-Regular.ttf",
        "NotoSansHebrew-Regular.ttf",
        "NotoSansKannada-Regular.ttf",
        "NotoSansKhmer-Regular.ttf",
        "NotoSansLao-Regular.ttf",
        "NotoSansMalayalam-Regular.ttf",
        "NotoSansMyanmar-Regular.ttf",
        "NotoSansSinhala-Regular.ttf",
        "NotoSansTamil-Regular.ttf",
        "NotoSansTelugu-Regular.ttf",
        "NotoSansThai-Regular.ttf",
        // last: it has Chinese, Japanese and Korean, and plainer forms of much else
        "DroidSansFallback.ttf",
    ]
}

/// The fonts, read once.
pub(crate) static FONTS: LazyLock<Vec<Font>> =
    LazyLock::new(|| files().iter().filter_map(|file| Font::new(Bytes::new(*file), 0)).collect());

/// The regular face, for measuring.
static REGULAR: LazyLock<Option<FontInstance>> = LazyLock::new(|| {
    let font = FONTS.first()?.clone();
    Some(font.instantiate(FontVariant::default(), Abs::pt(10.0), &FontVariations::default()))
});

/// What the fonts offer, for Typst.
pub(crate) static BOOK: LazyLock<LazyHash<FontBook>> =
    LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FONTS.iter())));

/// The families in the order in which they are tried.
pub(crate) fn families() -> Vec<&'static str> {
    let mut families: Vec<&'static str> = Vec::new();
    for font in FONTS.iter() {
        if !families.contains(&font.info().family.as_str()) {
            families.push(&font.info().family);
        }
    }
    families
}

/// The width of a line of plain text in the regular face, in px where `size` is in px. Letters the
/// face lacks count as a full em, so that what is fitted by it never overlaps.
pub fn text_width(text: &str, size: f64) -> f64 {
    let advance = |character: char| {
        let font = REGULAR.as_ref()?;
        let glyph = font.ttf().glyph_index(character)?;
        Some(f64::from(font.ttf().glyph_hor_advance(glyph)?) / font.units_per_em())
    };
    text.chars().map(|character| advance(character).unwrap_or(1.0)).sum::<f64>() * size
}

/// The characters of a text that no bundled font has, each once, in order: they would print as
/// boxes.
pub fn unprintable(text: &str) -> Vec<char> {
    let mut missing = Vec::new();
    for character in text.chars() {
        let known = is_invisible(character)
            || FONTS.iter().any(|font| font.info().coverage.contains(u32::from(character)));
        if !known && !missing.contains(&character) {
            missing.push(character);
        }
    }
    missing
}

/// Characters that never show a glyph of their own: line ends, joiners, direction marks, variation
/// selectors (Unicode, `Default_Ignorable_Code_Point`, as far as text input holds them).
fn is_invisible(character: char) -> bool {
    matches!(
        character,
        '\n' | '\r' | '\t' | '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_font_file_is_read() {
        assert_eq!(FONTS.len(), files().len());
        assert_eq!(families().first(), Some(&FAMILY));
    }

    /// A name in each script, from the endonyms of languages; none may print as boxes.
    #[test]
    fn names_in_many_scripts_are_printable() {
        for name in [
            "Zażółć gęślą jaźń",
            "Ελληνικά",
            "Русский Ђорђе Їжак",
            "Tiếng Việt Nguyễn",
            "العربية",
            "فارسی پژگچ",
            "اردو ٹڈڑ",
            "עברית",
            "हिन्दी",
            "বাংলা",
            "ગુજરાતી",
            "ਪੰਜਾਬੀ",
            "தமிழ்",
            "తెలుగు",
            "ಕನ್ನಡ",
            "മലയാളം",
            "සිංහල",
            "ไทย",
            "ລາວ",
            "ខ្មែរ",
            "မြန်မာ",
            "ქართული",
            "Հայերեն",
            "አማርኛ",
            "中文漢字",
            "日本語ひらがなカタカナ",
            "한국어 가을",
            "O’Brien–Smith",
        ] {
            assert_eq!(unprintable(name), Vec::<char>::new(), "{name}");
        }
    }

    #[test]
    fn what_no_font_has_is_named_once() {
        assert_eq!(
            unprintable("a\u{1F3C3}b\u{1F3C3}\u{1F947}\u{200d}"),
            vec!['\u{1F3C3}', '\u{1F947}']
        );
    }

    /// The digits of the face are tabular: 497 of 1,000 units each (its `hmtx` table).
    #[test]
    fn widths_come_from_the_face() {
        assert!(
            (text_width("4:05", 10.0) - (3.0 * 4.97 + 2.49)).abs() < 0.02,
            "{}",
            text_width("4:05", 10.0)
        );
        assert!((text_width("\u{1F3C3}", 10.0) - 10.0).abs() < 1e-9);
    }
}
