//! The version of the file format.

use serde::{Deserialize, Serialize};

use crate::wording::Refusal;

/// The version of the file format that this program writes. Files of every earlier version are read, too.
pub const FORMAT: u32 = 3;

/// The format version inside a project; only [`FORMAT`] can exist in memory.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub struct FormatVersion;

impl TryFrom<u32> for FormatVersion {
    type Error = Refusal;

    fn try_from(found: u32) -> Result<Self, Refusal> {
        if found == FORMAT {
            Ok(Self)
        } else {
            Err(Refusal::new(format!("there is no format version {found}; the current one is {FORMAT}")))
        }
    }
}

impl From<FormatVersion> for u32 {
    fn from(_: FormatVersion) -> Self {
        FORMAT
    }
}
