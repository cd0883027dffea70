//! Checks the procedures of a family: `check FAMILY PROCEDURE…`, one line of JSON for each, in every food code.

#![expect(clippy::print_stdout, reason = "an example talks")]

use std::fs;

use ouncewise_hygiene::profile::AfterRule;
use ouncewise_procedure::{Outcome, Terms, check, read, skips};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut files = std::env::args().skip(1);
    let file = files.next().ok_or("name the family's file and its procedures")?;
    let text = fs::read_to_string(&file)?;
    let (family, faults) = read::family(&file, &text);
    for fault in &faults {
        println!("{fault}");
    }
    let family = family.ok_or("the family cannot be read")?;
    for file in files {
        let text = fs::read_to_string(&file)?;
        let (procedure, faults) = read::procedure(&file, &text, &family);
        for fault in &faults {
            println!("{fault}");
        }
        let Some(procedure) = procedure else { continue };
        let skips = skips(&family, &procedure, &Terms::default());
        println!("must not be skipped: {:?}", skips.must_not_skip());
        for one in skips.consequences.iter().filter(|one| one.outcome == Outcome::Unseen) {
            println!("  {:?} {}", one.harm, one.text("en"));
        }
        for one in &skips.leaving {
            println!("  {} {:?} {:?} {:?}", one.number, one.may, one.because, one.until);
        }
        for after in [AfterRule::DrainNoRinse, AfterRule::Drain, AfterRule::Rinse] {
            let report = check(&family, &procedure, &Terms { after, ..Terms::default() });
            println!("{file} {after:?}: {:?} {:?}", report.verdict, report.states);
            for finding in &report.findings {
                println!("  {}", finding.fault());
                if let Some(story) = &finding.story {
                    println!("    {}", story.text("en", 6));
                }
            }
        }
    }
    Ok(())
}
