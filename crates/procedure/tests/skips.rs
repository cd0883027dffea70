//! What the skip analysis says of every procedure that ships: held, so that a change of the search or of the meaning shows.

use std::fmt::Write;

use ouncewise_procedure::{AfterRule, Terms, read, skips};

#[test]
fn what_is_said_of_every_mistake_in_what_ships() {
    let content = concat!(env!("CARGO_MANIFEST_DIR"), "/../../content/procedures");
    for key in ["roller-pump", "screw-trim"] {
        let text =
            |name: &str| std::fs::read_to_string(format!("{content}/{key}/{name}.toml")).unwrap();
        let family = read::family("family.toml", &text("family")).0.unwrap();
        let mut told = String::new();
        for name in [
            "weekly-clean",
            "weekly-calibration",
            "renew-parts",
            "first-start-up",
            "take-out",
            "change-flavour",
        ] {
            let procedure = read::procedure(name, &text(name), &family).0.unwrap();
            for after in [AfterRule::DrainNoRinse, AfterRule::Rinse] {
                let found = skips(&family, &procedure, &Terms { after, ..Terms::default() });
                let must = found.must_not_skip();
                writeln!(told, "{name}, {after:?}: must not skip {must:?}").unwrap();
                for one in &found.consequences {
                    let code = one.rule.map_or("-", ouncewise_procedure::Rule::code);
                    let steps = one.story.as_ref().map_or(0, |story| story.steps.len());
                    let (what, out, at) = (one.mistake, one.outcome, one.shows_at);
                    let at = at.map_or(String::new(), |at| format!(" at {at}"));
                    let closed = one.proposal.as_ref().map_or(String::new(), |proposal| {
                        let place = if proposal.after { "after" } else { "before" };
                        let (verb, step) = (proposal.verb, proposal.step);
                        format!("; {verb} {place} {step}, closes {}", proposal.closes)
                    });
                    let head =
                        format!("{} {what:?}: {out:?} {code}{at}, {steps} steps", one.number);
                    writeln!(told, "  {head}{closed}").unwrap();
                }
            }
        }
        insta::assert_snapshot!(key, told);
    }
}
