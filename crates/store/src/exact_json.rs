//! JSON that gives back exactly what went in.
//!
//! A float is written in its shortest form and read back to the nearest float (serde_json's
//! `float_roundtrip`), which is the one that was written; one that is not finite is refused. Earlier
//! versions wrote a float as `{"f64":"4.275"}`, for readers that lose its last bit: both are read.

use std::borrow::Cow;

use memchr::memmem;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::error::StoreError;

const FLOAT: &str = "f64";
/// What stands before a float in a text of an earlier version. Inside a JSON string its quotes would be
/// escaped, so wherever this stands a float follows.
const BEFORE: &str = "{\"f64\":\"";
/// What stands behind it.
const AFTER: &str = "\"}";

/// A value as JSON text.
///
/// # Errors
/// Refused where the value does not read back the same (a number that is not finite).
pub(crate) fn to_text<T>(value: &T) -> Result<String, StoreError>
where
    T: Serialize + DeserializeOwned + PartialEq,
{
    let text = serde_json::to_string(value).unwrap_or_default();
    if from_text::<T>(&text).as_ref() == Some(value) {
        Ok(text)
    } else {
        Err(StoreError::refused(
            "a value holds a number that is not finite and cannot be kept; correct it first",
        ))
    }
}

/// A value from its JSON text; `None` where the text is no such value.
pub(crate) fn from_text<T: DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(&plain(text)?).ok()
}

/// The text with plain numbers for its floats; `None` where one has no end.
fn plain(text: &str) -> Option<Cow<'_, str>> {
    if memmem::find(text.as_bytes(), BEFORE.as_bytes()).is_none() {
        return Some(Cow::Borrowed(text));
    }
    let mut parts = text.split(BEFORE);
    let mut whole = String::with_capacity(text.len());
    whole.push_str(parts.next()?);
    for part in parts {
        let end = part.find('"')?;
        whole.push_str(part.get(..end)?);
        whole.push_str(part.get(end..)?.strip_prefix(AFTER)?);
    }
    Some(Cow::Owned(whole))
}

/// A float as JSON; never called with one that is not finite.
pub(crate) fn float(number: f64) -> Value {
    let mut object = Map::new();
    let _ = object.insert(FLOAT.to_owned(), Value::String(number.to_string()));
    Value::Object(object)
}

/// The float that [`float`] wrote.
pub(crate) fn as_float(value: &Value) -> Option<f64> {
    let object = value.as_object().filter(|object| object.len() == 1)?;
    object.get(FLOAT)?.as_str()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_finite_float_comes_back_to_the_bit(bits: u64, text: String, whole: i64) {
            let number = f64::from_bits(bits);
            prop_assume!(number.is_finite());
            let value = (number, text, whole, vec![Some(number), None]);
            let written = to_text(&value).unwrap();
            let back: (f64, String, i64, Vec<Option<f64>>) = from_text(&written).unwrap();
            prop_assert_eq!(back.0.to_bits(), bits);
            prop_assert_eq!(back.3[0].map(f64::to_bits), Some(bits));
            prop_assert_eq!((back.1, back.2), (value.1, value.2));
        }
    }

    #[test]
    fn a_float_of_an_earlier_version_is_read_as_one() {
        let text = r#"[{"f64":"0.059308032000000004"},{"f64":"-0"},{"f64":"8"}]"#;
        assert_eq!(from_text::<[f64; 3]>(text), Some([0.059_308_032_000_000_004, -0.0, 8.0]));
        assert_eq!(from_text::<[f64; 1]>(r#"[{"f64":"8}]"#), None);
        assert_eq!(from_text::<[f64; 1]>(r#"[{"f64":"8"]"#), None);
    }

    #[test]
    fn what_is_not_finite_is_refused() {
        assert!(to_text(&f64::NAN).is_err());
        assert!(to_text(&Some(f64::INFINITY)).is_err());
    }
}
