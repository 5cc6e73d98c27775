//! Gas lost in the whole campaign, by port and cause.

use super::stack::Stacked;
use crate::report::book::Book;

/// Most causes that are told apart.
const CAUSES: usize = 8;

/// The figure.
pub(super) fn gas(book: &Book) -> String {
    Stacked::of(book, "gas_lost_kg", "kg", false, CAUSES).figure(
        book,
        "fig-gas",
        "Gas lost by cause",
        "Kilograms that went outside in the whole campaign, mean over campaigns, by port and cause, \
        the largest first; breathed gas is not in it.",
    )
}
