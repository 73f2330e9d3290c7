//! How a quantity is made: a private number, a checked constructor, an accessor that names the unit.

/// A value outside what its quantity can hold.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{quantity} {given} {unit} is outside {min} to {max} {unit}")]
pub struct OutOfRange {
    /// What was given: "heart rate".
    pub quantity: &'static str,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// The value refused.
    pub given: f64,
    /// The smallest value allowed.
    pub min: f64,
    /// The largest value allowed.
    pub max: f64,
}

/// What every quantity has in common; used by [`super::Estimate`] to carry errors in the same unit.
pub trait Quantity: Copy {
    /// The number in the quantity's own unit.
    fn in_own_unit(self) -> f64;
}

pub(super) fn check(
    quantity: &'static str,
    unit: &'static str,
    given: f64,
    min: f64,
    max: f64,
) -> Result<(), OutOfRange> {
    if given.is_finite() && (min..=max).contains(&given) {
        Ok(())
    } else {
        Err(OutOfRange { quantity, unit, given, min, max })
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $get:ident, $label:literal, $unit:literal, $min:literal, $max:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("The ", $label, " from a number in ", $unit, ".")]
            ///
            /// # Errors
            #[doc = concat!("Not finite, or outside ", stringify!($min), " to ", stringify!($max), " ", $unit, ".")]
            pub fn $from(value: f64) -> Result<Self, $crate::units::OutOfRange> {
                $crate::units::quantity::check($label, $unit, value, $min, $max)?;
                Ok(Self(value))
            }

            #[doc = concat!("The number in ", $unit, ".")]
            pub fn $get(self) -> f64 {
                self.0
            }
        }

        impl $crate::units::Quantity for $name {
            fn in_own_unit(self) -> f64 {
                self.0
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.0)
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                Self::$from(f64::deserialize(deserializer)?).map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(super) use quantity;
