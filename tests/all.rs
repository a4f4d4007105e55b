//! Integration tests.
#![cfg_attr(
    feature = "window",
    expect(unreachable_pub, reason = "nothing is outside a test binary"),
    expect(clippy::cast_possible_truncation, reason = "pixels are small whole numbers")
)]

#[cfg(test)]
mod adding;
#[cfg(test)]
#[cfg(unix)]
mod child;
#[cfg(test)]
mod command_line;
#[cfg(test)]
mod dangers;
#[cfg(test)]
#[cfg(all(unix, feature = "window"))]
mod document_ending;
#[cfg(test)]
#[cfg(unix)]
mod document_kill;
#[cfg(test)]
#[cfg(unix)]
mod document_refusals;
#[cfg(test)]
mod floors;
#[cfg(test)]
mod outside;
#[cfg(test)]
mod setup_sheet;
#[cfg(test)]
mod sizes;
#[cfg(test)]
#[cfg(feature = "window")]
mod window;
#[cfg(test)]
mod wording;
