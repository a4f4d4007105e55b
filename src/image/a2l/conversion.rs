//! From raw numbers to physical ones: COMPU_METHODs and limits.

use a2lfile::{Coeffs, CompuMethod, ConversionType};

use super::names::{conversion_name, plain};
use crate::image::Quantity;
use crate::image::number::physical_range;
use crate::project::{CellType, Item};
use crate::wording::shortest;

/// More decimals than this are not shown.
const MOST_DECIMALS: usize = 6;

/// The conversion of an item. RAT_FUNC gives the raw number of a physical x as (a·x² + b·x + c) / (d·x² + e·x + f); with
/// physical = raw · scale + offset that is (x − offset) / scale: exact decimals, no reciprocal.
pub(super) fn method(item: &Item, quantity: &Quantity, identifier: String) -> CompuMethod {
    let format = format!("%12.{}", decimals(item));
    let (name, unit) = (conversion_name(&identifier), plain(quantity.unit));
    let mut method = CompuMethod::new(name, String::new(), ConversionType::RatFunc, format, unit);
    method.coeffs = Some(Coeffs::new(0.0, 1.0, 0.0 - item.offset, 0.0, 0.0, item.scale));
    method
}

/// Decimals that show every count.
fn decimals(item: &Item) -> usize {
    if item.cell == CellType::F32 {
        return MOST_DECIMALS;
    }
    let places = |number: f64| shortest(number).split_once('.').map_or(0, |(_, decimals)| decimals.len());
    places(item.scale).max(places(item.offset)).min(MOST_DECIMALS)
}

/// The physical values that the item can hold and a project may have.
pub(super) fn limits(item: &Item, quantity: &Quantity) -> (f64, f64) {
    let (low, high) = physical_range(item);
    (low.max(quantity.low), high.min(quantity.high))
}
