//! The operations of the API, all of them: the router and the description are made from this table, and from nothing else.

use serde_json::{Value, json};

use super::endpoint::Endpoint;
use super::endpoint::Verb::{Get, Post, Put};
use super::openapi::Schemas;
use super::{
    calculate, estate, fault, learn, loads, openapi, procedures, records, sheets, standing, upload,
};

const RECORD: &str = "0195540a-c212-7000-8000-000000000007";

pub fn table(make: &mut Schemas) -> Vec<Endpoint> {
    let mut all = standings(make);
    all.extend(following(make));
    all.extend(ledgers(make));
    all.extend(setting_up(make));
    all.extend(calculating(make));
    all
}

fn standings(make: &mut Schemas) -> Vec<Endpoint> {
    vec![
        Endpoint::new(make, (Get, "/week", "week"), standing::week)
            .says("This week", "The lines that need a decision, worst first, each with its reason and one act; and how all lines in use stand.")
            .problems(&[404])
            .example("site", "fernhollow")
            .example("top", 10),
        Endpoint::new(make, (Get, "/sites", "sites"), standing::sites)
            .says("All sites", "All sites by their keys, each with how its lines in use stand.")
            .example("limit", 50),
        Endpoint::new(make, (Get, "/sites/{site}", "site"), standing::site)
            .says("One site", "Its machines, the measures that are kept there, and how its lines in use stand.")
            .example("site", "fernhollow"),
        Endpoint::new(make, (Get, "/sites/{site}/machines/{machine}", "machine"), standing::machine)
            .says("One machine", "How each of its lines stands, side by side, so that a move they share is seen.")
            .example("site", "fernhollow")
            .example("machine", "counter-1"),
        Endpoint::new(make, (Get, "/sites/{site}/machines/{machine}/sheet", "machine_sheet"), standing::sheet)
            .says("A machine's sheet", "The sheet that is filled in by pen at the machine, as data: what is asked, what readings in this kitchen's own measures mean, and how it is set.")
            .example("site", "fernhollow")
            .example("machine", "counter-1")
            .example("paper", "a4"),
        Endpoint::new(make, (Get, "/sites/{site}/machines/{machine}/rounds", "machine_rounds"), standing::rounds)
            .says("A machine's rounds", "Each round with whether all is on record that the food code in force asks for, what is missing, and what is asked about it; the latest first.")
            .example("site", "fernhollow")
            .example("machine", "counter-1")
            .example("last", 10),
        Endpoint::new(make, (Get, "/lines/{site}/{machine}/{line}", "line"), standing::line)
            .says("One line", "Where it stands and its story, oldest first: catches with what each showed, adjustments, cleans, parts, corrections.")
            .example("site", "fernhollow")
            .example("machine", "counter-1")
            .example("line", "1")
            .example("last", 50),
        Endpoint::new(make, (Get, "/sites/{site}/machines/{machine}/lines/{line}/charts", "line_charts"), standing::charts)
            .says("Control charts of one line", "Its readings as found as single readings, ranges, a weighted average and cumulative sums, each with its limits and what signals. They look back, and ask nobody to adjust.")
            .example("site", "fernhollow")
            .example("machine", "counter-1")
            .example("line", "1"),
        Endpoint::new(make, (Get, "/sites/{site}/machines/{machine}/lines/{line}/fault", "line_fault"), fault::fault)
            .says("Find a fault", "What may be wrong with a line: causes by probability, the question that saves most minutes, the acts in the order of least expected minutes, and what to tell the technician. What its records answer is not asked.")
            .example("site", "fernhollow")
            .example("machine", "counter-1")
            .example("line", "1")
            .example("sign", json!(["drips-centre:yes", "bubbles:no"])),
    ]
}

fn following(make: &mut Schemas) -> Vec<Endpoint> {
    const ONE: &str = "/procedures/{family}/{name}";
    vec![
        Endpoint::new(make, (Post, "/families/{family}/learn", "learn_family"), learn::learn)
            .says("Learn how a family behaves", "Fits how lines of a family wander, wear and are adjusted, from the group's own records, where twenty machines or more have readings. Adopted, it is a record in the ledger @group, and every estimate names it. One fit is made at a time.")
            .example("family", "screw-trim")
            .example("", json!({ "adopt": false })),
        Endpoint::new(make, (Get, "/procedures", "procedures"), procedures::all)
            .says("All procedures", "Those that ship and those that the group published, each in the version in force, with what the check says of its text. Of a machine it says nothing."),
        Endpoint::new(make, (Get, ONE, "procedure"), procedures::one)
            .says("One procedure", "Its text, what the check says of it, its steps with the key of each in the records of a round, and all its versions. A round confirms a step that must not be skipped by a record of the kind step-done.")
            .example("family", "screw-trim")
            .example("name", "weekly-clean"),
        Endpoint::new(make, (Get, "/procedures/{family}/{name}/skip", "procedure_skip"), procedures::skip)
            .says("What if a step is skipped", "What follows from each mistake, worst first; who is the worse for it; whether a later step would catch it; what would close the hole; and where the work may be left.")
            .example("family", "screw-trim")
            .example("name", "weekly-clean")
            .example("language", "en"),
        Endpoint::new(make, (Get, "/procedures/{family}/{name}/kit", "procedure_kit"), procedures::kit)
            .says("What to bring", "The kit and the time of a procedure: for one machine, for all machines of its family at a site, or for one of as many lines as the text says.")
            .example("family", "screw-trim")
            .example("name", "weekly-clean"),
        Endpoint::new(make, (Post, "/procedures/check", "check_procedure"), procedures::check)
            .says("Check a text", "Whether a procedure's text holds against the model of its family, with the shortest way to each broken rule. Nothing is kept.")
            .most(procedures::MOST_BYTES)
            .example("", json!({ "text": "kind = \"clean\"\nfamily = \"screw-trim\"\n" })),
        Endpoint::new(make, (Post, ONE, "publish_procedure"), procedures::publish)
            .says("Publish a procedure", "Records that rounds follow this text from now on. A text that cannot be read or does not hold is refused with its findings. Sent again under its id, it is published once. To take it back, correct its record in the ledger @group.")
            .most(procedures::MOST_BYTES)
            .answers("It was published under this id before, or this very text is in force.")
            .also(201, true, "It was published.")
            .example("family", "screw-trim")
            .example("name", "weekly-clean")
            .example("", json!({ "id": RECORD, "text": "kind = \"clean\"\nfamily = \"screw-trim\"\n" })),
    ]
}

fn ledgers(make: &mut Schemas) -> Vec<Endpoint> {
    vec![
        Endpoint::new(make, (Get, "/ledgers", "ledgers"), records::ledgers)
            .says("All ledgers", "One for each site, and one for the group itself, each with its head: how many records it holds, and the root of their tree (RFC 6962)."),
        Endpoint::new(make, (Get, "/ledgers/{scope}/records", "records"), records::records)
            .says("The records of a ledger", "In order of receipt. Follow `next` from page to page: no record is lost or repeated, whatever is added meanwhile.")
            .example("scope", "fernhollow")
            .example("limit", 50),
        Endpoint::new(make, (Get, "/ledgers/{scope}/records/{id}", "record"), records::record)
            .says("One record", "A record as it stands in its ledger.")
            .example("scope", "fernhollow")
            .example("id", RECORD),
        Endpoint::new(make, (Post, "/records", "append_records"), records::append)
            .says("Append records", "Keeps all of these records, or none. Once it answers, they are on disk. A record is kept once under its id, however often it is sent: where an answer was lost, send the same again.")
            .most(records::MOST_BYTES)
            .answers("Nothing was added: each record was there before, or says otherwise than the one under its id.")
            .also(201, true, "Records were added.")
            .example("", draft()),
        Endpoint::new(make, (Get, "/verify", "verify"), records::verify)
            .says("Verify the ledgers", "Derives every hash anew from the stored bytes. The answer names the first thing that does not fit, if any. It shows that records were not altered since they were stored; not that the work was done."),
        Endpoint::new(make, (Get, "/loads", "loads"), loads::loads)
            .says("What was loaded", "The files that were brought in, newest first."),
        Endpoint::new(make, (Post, "/loads/{id}/undo", "undo_load"), loads::undo)
            .says("Take a load back", "Withdraws every record that a load added; they stay in the ledger, marked. The same file can then be loaded again. Sent again, it withdraws nothing more.")
            .example("id", RECORD),
    ]
}

fn setting_up(make: &mut Schemas) -> Vec<Endpoint> {
    let must =
        "The ETag of the estate that is changed, from the last GET; * changes whatever is there.";
    vec![
        Endpoint::new(make, (Get, "/estate", "estate"), estate::get)
            .says("The estate", "Group, owners, families, products, measures, sites, machines and lines, as the text of the files that people write about them.")
            .header("If-None-Match", false, "An ETag that is known: where it still holds, the answer is 304 without a body.", "\"0\"")
            .also(304, false, "The estate is still the one that If-None-Match names."),
        Endpoint::new(make, (Put, "/estate", "put_estate"), estate::put)
            .says("Describe the estate anew", "Changes what differs, and retires what is no longer named; nothing is deleted. With dry_run it only tells what would change.")
            .most(estate::MOST_BYTES)
            .header("If-Match", true, must, "\"0\"")
            .problems(&[412, 428])
            .example("dry_run", true),
        Endpoint::new(make, (Post, "/sheets/look", "look_at_sheet"), sheets::look)
            .says("Look at a sheet", "Proposes how a spreadsheet with headings of one's own is read, asks what it does not tell, and tries it out. Nothing is kept.")
            .most(upload::MOST_BYTES)
            .example("name", "catches.csv"),
        Endpoint::new(make, (Post, "/sheets/load", "load_sheet"), sheets::load)
            .says("Load a sheet", "Sets up what the sheet speaks of and the estate lacks, and loads its rows. Rows that wait for an answer, or cannot be read, are listed with their reason. The reading is remembered for the next sheet with the same headings.")
            .most(upload::MOST_BYTES)
            .example("name", "catches.csv"),
    ]
}

fn calculating(make: &mut Schemas) -> Vec<Endpoint> {
    let setup = json!({ "target": "30 mL in 7 s", "tolerance": "5 %", "cup": "1 mL ± 0.5 mL" });
    vec![
        Endpoint::new(make, (Post, "/calculate/catch", "calculate_catch"), calculate::catch)
            .says("Calculate a catch", "What the catches of one visit show: portion, verdict, how sure, the one act. Nothing is kept.")
            .example("", json!({ "setup": setup, "catches": ["31 mL in 7.1 s", "30.5 mL in 7.0 s"] })),
        Endpoint::new(make, (Post, "/calculate/measure", "calculate_measure"), calculate::measure)
            .says("Calculate a measure", "What a measure and a timer can show about a line, before any reading. Nothing is kept.")
            .example("", json!({ "setup": setup })),
        Endpoint::new(make, (Post, "/calculate/flush", "calculate_flush"), calculate::flush)
            .says("Calculate a flush", "How long a line is flushed until no more than a wanted share of what was in it is left, by each way that the line allows, and the least time that physics allows. What nobody measured is left out: then there is no least time, and the answer says what to measure. Nothing is kept.")
            .example("", json!({ "bore": "6 mm", "length": "3 m", "flow": "250 mL in 10 s", "contents": "syrup 60 Bx", "want": "1 % in the line" })),
        Endpoint::new(make, (Post, "/calculate/strength", "calculate_strength"), calculate::strength)
            .says("Calculate a strength", "Whether a sanitiser solution is accepted by its label, the code and its strip, and what goes with it. Nothing is kept.")
            .example("", json!({
                "profile": "model-code", "chemistry": "isocyanurate", "label_strength": "100 to 200 ppm", "label_contact": "60 s",
                "product": "0.9464 g available", "dose": "1 sachet", "water": "2 gal (US)", "temperature": "75 °F", "ph": "7",
            })),
        Endpoint::new(make, (Get, "/read", "read"), calculate::read)
            .says("Read what was typed", "How a typed amount, draw or quantity is understood: as a record would keep it.")
            .problems(&[422])
            .example("text", "29,6")
            .example("as", "amount")
            .example("unit", "mL"),
        Endpoint::new(make, (Get, "/openapi.json", "openapi"), openapi::get)
            .says("This description", "The API's description (OpenAPI 3.1)."),
    ]
}

fn draft() -> Value {
    json!({ "records": [{
        "record": {
            "v": 1,
            "id": RECORD,
            "scope": "fernhollow",
            "subject": { "machine": "counter-1", "line": "1" },
            "at": "2026-03-02T06:41:07.250+01:00",
            "device": "tablet-2",
            "sequence": 41,
            "entered": "at-machine",
            "body": { "kind": "catch-taken", "state": "as-found", "amount": "29.6 mL", "draw": "7.1 s", "measure": "cylinder" },
        },
        "person": "Ada",
    }] })
}
