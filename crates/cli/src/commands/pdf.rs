//! What `--pdf` shares: the file is written, or it is said that this program has no typesetter.

#[cfg(feature = "pdf")]
use std::io::Write;
use std::path::Path;

#[cfg(feature = "pdf")]
use ouncewise_report::Exit;
use ouncewise_report::Failure;

#[cfg(feature = "pdf")]
use crate::output::Output;

/// Refuses a PDF that was asked for where the program was built without.
pub fn available(asked: Option<&Path>, instead: &str) -> Result<(), Failure> {
    if cfg!(feature = "pdf") || asked.is_none() {
        return Ok(());
    }
    Err(Failure::usage("this program was built without PDF").hint(format!(
        "build it with `cargo build --release --features pdf`, or write the page with `{instead}` and print it from a browser"
    )))
}

/// Refuses to write a page, which is HTML, into a file that would pass for a PDF.
pub fn is_page(path: Option<&Path>) -> Result<(), Failure> {
    let is_pdf = |path: &Path| path.extension().is_some_and(|e| e.eq_ignore_ascii_case("pdf"));
    match path.filter(|path| is_pdf(path)) {
        None => Ok(()),
        Some(path) => Err(Failure::usage(format!("{} would be a page, not a PDF", path.display()))
            .hint("name it `.html`, or ask for the PDF with `--pdf`")),
    }
}

/// Writes a PDF that was typeset.
#[cfg(feature = "pdf")]
pub fn write(
    made: Result<Vec<u8>, ouncewise_paper::PdfError>,
    path: &Path,
    output: &Output,
) -> Result<Exit, Failure> {
    let bytes = made.map_err(|e| Failure::new(Exit::Bug, e.to_string()))?;
    if path.as_os_str() == "-" {
        // A reader that went away wants no more; that is no failure of ours.
        let mut out = std::io::stdout();
        let _ = out.write_all(&bytes).and_then(|()| out.flush());
        return Ok(Exit::Done);
    }
    std::fs::write(path, bytes).map_err(|e| Failure::io(path, &e))?;
    output.say(&format!("Written to {}: print it as it is.", path.display()));
    Ok(Exit::Done)
}
