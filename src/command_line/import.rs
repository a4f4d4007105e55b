//! `import`: an image from a flashing tool, or an advance table from a spreadsheet.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};

use super::output::{Format, ending, file_path};
use super::paths::refuse_taken;
use super::values::Mark;
use super::{Answer, Failure};

mod image;
mod table;

/// Import an image by the project's layout, or the advance table from a CSV or TSV file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The file's ending decides: .hex, .s19, .s28, .s37 and .bin are images, everything else is a table.

Of an image, whichever of the three formats its content has, every item of P's layout is read:
tables, curves and single numbers. Cells that differ get the origin 'imported'; held marks, and
all that the image does not hold, stay. A damaged record is refused with its line; a stored
checksum that does not fit is refused unless --accept-wrong-checksum is given.

Of a table the first row holds any corner text and the speeds in rpm, every further row a load and
its cells in degrees; speeds and loads ascend. Fields are parted by tabs or semicolons when the
first row has one, else by commas; decimals may follow a comma when commas do not part the fields.
Where every mark may part thousands or decimals, as in 1,000, nothing is guessed: the file is
refused until --decimal-mark tells. Axes, size and cells of the project's table are replaced,
nothing is held any more, every origin is 'imported'; all else stays.

With --json: file, speeds, loads; of an image also format, checksum, checksum_fits, changed_cells,
changed_fields.

Examples:
  sparkloft import unit.hex --into P.ron -o OUT.ron
  sparkloft import table.csv --into P.ron -o OUT.ron
  sparkloft import table.tsv --into P.ron -o OUT.ron --decimal-mark point")]
pub(super) struct Import {
    /// The file to read
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The project whose values are replaced; its file stays as it is unless -o names it
    #[arg(long, value_name = "P")]
    into: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Read an image even though its stored checksum is not the one of its bytes
    #[arg(long)]
    accept_wrong_checksum: bool,
    /// What stands before decimals in the file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK")]
    decimal_mark: Option<Mark>,
    #[command(flatten)]
    format: Format,
}

impl Import {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        refuse_taken("import", &self.output, &[("the file to read", &self.file)])?;
        if is_image(&self.file) {
            if self.decimal_mark.is_some() {
                return Err(Failure::Usage("--decimal-mark is for tables; an image has no marks".into(), "import"));
            }
            return image::run(self);
        }
        if self.accept_wrong_checksum {
            let reason = "--accept-wrong-checksum is for images; a table has no checksum";
            return Err(Failure::Usage(reason.into(), "import"));
        }
        table::run(self)
    }
}

fn is_image(path: &Path) -> bool {
    matches!(ending(path).as_str(), "hex" | "s19" | "s28" | "s37" | "bin")
}
