//! Drawings and documents: what is seen on paper, and the figures that screen and paper share.
//!
//! A [`drawing::Drawing`] is a list of primitives with ink roles. The lane, the strip and
//! the charts produce it; SVG, Typst and the window's canvas paint it, so that screen and print
//! are the same figure. A document is a Typst template in `assets/documents`, given data as JSON and
//! never pasted text; one [`Document`] gives the PDF and the preview.

pub mod calendar;
pub mod card;
pub mod chart;
pub mod drawing;
pub mod fonts;
pub mod ink;
pub mod lane;
mod paper;
pub mod review;
pub mod split;
pub mod strip;
pub mod svg;
pub mod test_day;
pub mod trace;

mod plot;
mod typeset;

pub use paper::Paper;
pub use typeset::{Document, Preview, Printed, SheetError, Warning};
