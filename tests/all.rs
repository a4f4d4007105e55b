//! Integration tests.

#[cfg(test)]
#[cfg(unix)]
mod child;
#[cfg(test)]
#[cfg(unix)]
mod document_kill;
#[cfg(test)]
#[cfg(unix)]
mod document_refusals;
