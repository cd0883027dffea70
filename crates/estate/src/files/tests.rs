//! Tests of the files: what is written reads back, and nothing panics.

use proptest::prelude::*;

use super::*;
use crate::fault::passes;
use crate::testing::estate;

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(estate in estate()) {
        let files = write(&estate);
        let (read, faults) = read(&files);
        prop_assert!(passes(&faults), "{faults:#?}");
        prop_assert_eq!(&read, &estate);
        prop_assert_eq!(write(&read), files);
    }

    #[test]
    fn any_bytes_are_read_without_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        fuzz::fuzz_toml(&bytes);
        fuzz::fuzz_csv(&bytes);
    }

    /// Bytes cut out of a good file, put in elsewhere.
    #[test]
    fn damaged_files_are_read_without_panic(
        estate in estate(), file in any::<prop::sample::Index>(),
        from in any::<prop::sample::Index>(), to in any::<prop::sample::Index>(), put in ".{0,3}",
    ) {
        let files = write(&estate);
        let (name, bytes) = files.iter().nth(file.index(files.len())).unwrap();
        let (a, b) = (from.index(bytes.len() + 1), to.index(bytes.len() + 1));
        let damaged = [&bytes[..a.min(b)], put.as_bytes(), &bytes[a.max(b)..]].concat();
        fuzz::fuzz_toml(&damaged);
        fuzz::fuzz_csv(&damaged);
        let name = name.clone();
        let mut files = files;
        files.insert(name, damaged);
        fuzz::check(files);
    }
}

#[test]
fn the_small_estate_is_good() {
    let (estate, faults) = read(&fuzz::small());
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(estate.lines().count(), 1);
}

#[test]
fn brackets_without_end_are_a_fault_and_no_crash() {
    for bytes in
        ["[".repeat(100_000), "a=".to_owned() + &"[".repeat(100_000), "a.".repeat(50_000) + "b = 1"]
    {
        fuzz::fuzz_toml(bytes.as_bytes());
    }
}

/// Nine slips in three files: all told at once, each at its place, and what is good is read.
#[test]
fn all_faults_are_told_at_once_and_good_rows_load() {
    let mut files = fuzz::small();
    let mut put =
        |name: &str, text: &str| drop(files.insert(name.to_owned(), text.as_bytes().to_vec()));
    put(
        "products.toml",
        "[p]\nname = \"P\"\ncolour = 3\ndensity = \"heavy\"\n\n[q]\nname = \"Q\"\n",
    );
    put("machines.csv", "family;Site;machine\r\nx;s;m\r\ny;s;n\r\n");
    put(
        "lines.csv",
        "site,machine,line,product,target,tolerance,draw\n\
         s,m,1,q,30 mL,5 %,7 s\n\
         s,m,2,r,1 oz,5,7 doses\n\
         s,m,3,p,30 mL,5 %,7 s\n\
         s,n,1,q,30 mL,5 %,7 s\n\
         s,m,1,q,\"29,6 mL\",5 %,7 s\n",
    );
    let (estate, faults) = read(&files);
    let told: Vec<String> = faults
        .iter()
        .map(|f| format!("{}:{}:{} {}", f.place.file, f.place.line, f.place.column, f.code))
        .collect();
    assert_eq!(
        told,
        [
            "products.toml:3:1 E010",
            "products.toml:4:11 E033",
            "machines.csv:3:1 E041",
            "lines.csv:3:7 E042",
            "lines.csv:3:11 E021",
            "lines.csv:3:14 E023",
            "lines.csv:3:16 E051",
            "lines.csv:6:5 E014",
        ]
    );
    let lines: Vec<String> = estate.lines().map(|(address, _)| address.to_string()).collect();
    assert_eq!(lines, ["s/m/1"]);
}
