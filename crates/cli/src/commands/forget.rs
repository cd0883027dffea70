//! `ouncewise forget`: erases a name or a note's text; the records, and their hashes, stay.

use ouncewise_ledger::Scope;
use ouncewise_report::{Exit, Failure, ForgetReport};
use uuid::Uuid;

use super::{ask, opened};
use crate::args::{Forget, ForgetWhat};
use crate::output::Output;

/// Runs it.
pub fn run(args: &Forget, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let (what, found) = match args.what {
            ForgetWhat::Person => {
                let wanted = args.which.trim().to_lowercase();
                let people = store.people().await?;
                let id = people
                    .into_iter()
                    .find(|p| p.name.as_ref().is_some_and(|n| n.trim().to_lowercase() == wanted))
                    .map(|person| person.id);
                ("name", id.map(Erase::Person))
            }
            ForgetWhat::Note => {
                let id: Uuid = args.which.trim().parse().map_err(|_| {
                    Failure::usage(format!("`{}` is not the id of a record", args.which))
                        .hint("`ouncewise line ADDRESS --json` shows the ids of records")
                })?;
                let mut found = None;
                for head in store.heads().await? {
                    if store.notes(&head.site).await?.iter().any(|note| note.id == id) {
                        found = Some(Erase::Note(head.site, id));
                    }
                }
                ("note", found)
            }
        };
        let Some(found) = found else {
            return Err(Failure::usage(format!("there is no {what} `{}`", args.which))
                .hint("write it as the records have it; it may have been erased before"));
        };
        let question =
            format!("Erase the {what} `{}` for good? The records stay, without it.", args.which);
        if !ask::go_on(&question, args.yes)? {
            return Ok(Exit::No);
        }
        let erased = match found {
            Erase::Person(id) => store.erase_person(id).await?,
            Erase::Note(scope, id) => store.erase_note(&scope, id).await?,
        };
        store.close().await?;
        output.result(&ForgetReport { erased }, || {
            format!("The {what} is erased here. Backups and exports made before still hold it.\n")
        });
        Ok(Exit::Done)
    })
}

enum Erase {
    Person(ouncewise_ledger::PersonId),
    Note(Scope, Uuid),
}
