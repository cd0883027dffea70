//! Any bytes as any file, for fuzzers: nothing panics, every fault lies inside
//! its file, and what is read is written so that it reads back the same.

use super::{Files, MUST, read, write};
use crate::fault::passes;

/// Any bytes as every TOML file.
///
/// # Panics
///
/// If a promise is broken.
pub fn fuzz_toml(bytes: &[u8]) {
    for name in MUST.into_iter().filter(|n| n.ends_with(".toml")).chain(["families/x.toml"]) {
        check(Files::from([(name.to_owned(), bytes.to_vec())]));
    }
}

/// Any bytes as every CSV file, beside a small good estate.
///
/// # Panics
///
/// If a promise is broken.
pub fn fuzz_csv(bytes: &[u8]) {
    for name in MUST.into_iter().filter(|n| n.ends_with(".csv")) {
        let mut files = small();
        files.insert(name.to_owned(), bytes.to_vec());
        check(files);
    }
}

#[expect(clippy::needless_pass_by_value, reason = "a fuzzer gives its input away")]
pub(crate) fn check(files: Files) {
    let (estate, faults) = read(&files);
    for fault in &faults {
        let bytes = files.get(&fault.place.file).map_or(0, Vec::len);
        let span = fault.place.span.clone().expect("a file has spans");
        assert!(span.start <= span.end && span.end <= bytes, "{fault:?}");
    }
    let written = write(&estate);
    let (again, faults) = read(&written);
    // An estate whose group was refused has no name, and is told so.
    if !estate.group.name.is_empty() {
        assert!(passes(&faults), "{faults:?}");
        assert_eq!(again, estate);
    }
}

/// A good estate of one line.
#[must_use]
pub fn small() -> Files {
    [
        ("estate.toml", "[group]\nname = \"G\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n"),
        ("families/x.toml", "name = \"X\"\nmetering = \"rate\"\n[adjuster]\nkind = \"taught\"\n"),
        ("products.toml", "[p]\nname = \"P\"\n"),
        (
            "measures.toml",
            "[c]\nname = \"C\"\nkind = \"vessel\"\nmark = \"30 mL\"\ntolerance = \"1 mL\"\n",
        ),
        ("sites.csv", "site,measures\ns,c\n"),
        ("machines.csv", "site,machine,family\ns,m,x\n"),
        ("lines.csv", "site,machine,line,product,target,tolerance,draw\ns,m,1,p,30 mL,5 %,7 s\n"),
    ]
    .into_iter()
    .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
    .collect()
}
