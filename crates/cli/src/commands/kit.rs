//! `ouncewise kit`: what to bring along for a procedure, for a machine or for a whole site, and how long it takes.

use ouncewise_estate::Estate;
use ouncewise_procedure::{Family, Procedure, Terms};
use ouncewise_report::{
    Exit, Failure, Followed, KitReport, Library, ProcedureText, place_kit, site_called, terms_at,
};

use super::{opened, procedures, profiles};
use crate::args::Kit;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Kit, output: &Output) -> Result<Exit, Failure> {
    // Without a ledger no place is meant: then it says which procedures there are.
    let report = if procedures::is_there(&args.what.file) || !opened::is_there(&args.data)? {
        of_procedure(args)?
    } else {
        opened::block_on(async {
            let store = opened::existing(&args.data).await?;
            opened::follow(&store, output).await?;
            let (library, estate) = (Library::of(&store).await?, store.estate().await?);
            store.close().await?;
            match published(args, &library, &estate) {
                Some(one) => of_published(args, &library, one),
                None => of_place(args, &library, &estate),
            }
        })?
    };
    output.result(&report, || words(&report));
    Ok(Exit::Done)
}

fn of_procedure(args: &Kit) -> Result<KitReport, Failure> {
    let named = procedures::named(&args.what)?;
    Ok(on_machines(args, (&named.family, &named.procedure), None, &named.terms))
}

/// On as many machines of as many lines as were asked for.
fn on_machines(
    args: &Kit,
    (family, procedure): (&Family, &Procedure),
    name: Option<&str>,
    terms: &Terms,
) -> KitReport {
    let lines = args.lines.unwrap_or(u32::from(procedure.lines));
    let machines = usize::try_from(args.machines.unwrap_or(1)).unwrap_or(1);
    let followed = Followed { family, procedure, name, lines: vec![lines; machines] };
    ouncewise_report::kit(&[followed], terms, &args.what.language)
}

/// A procedure that the group published, by its family and its name, where no site is called as the family is.
fn published<'a>(args: &Kit, library: &'a Library, estate: &Estate) -> Option<&'a ProcedureText> {
    let (family, name) = args.what.file.split_once('/')?;
    let is_site = estate.sites.contains_key(family.trim());
    library.in_force(family, name).filter(|_| !is_site)
}

fn of_published(args: &Kit, library: &Library, one: &ProcedureText) -> Result<KitReport, Failure> {
    let terms = match &args.what.code.profile {
        Some(_) => profiles::terms(&args.what.code)?,
        None => library.terms().clone(),
    };
    let read = one.read_under(&terms);
    let judged = read.judged.as_ref().map_err(|_| {
        Failure::data(format!("the text of {} cannot be read", args.what.file))
            .hint("its page says where: mend it there")
    })?;
    Ok(on_machines(args, (&judged.family, &judged.procedure), Some(&one.name), &terms))
}

fn of_place(args: &Kit, library: &Library, estate: &Estate) -> Result<KitReport, Failure> {
    let place = &args.what.file;
    if args.machines.is_some() || args.lines.is_some() {
        return Err(Failure::usage(format!(
            "`--machines` and `--lines` are for a procedure, and `{place}` is none that is there"
        ))
        .hint("a site or machine has its own machines and lines: leave both out"));
    }
    let (site, machine) = match place.split_once('/') {
        Some((site, machine)) => (site, Some(machine)),
        None => (place.as_str(), None),
    };
    let site = site_called(estate, site)?;
    let terms = match &args.what.code.profile {
        Some(_) => profiles::terms(&args.what.code)?,
        None => terms_at(estate, Some(&site)),
    };
    let named = args.procedure.as_deref();
    place_kit((library, estate), (&site, machine), named, &terms, &args.what.language)
}

fn words(report: &KitReport) -> String {
    let mut text = String::new();
    for one in &report.follows {
        text.push_str(&format!("{}: {}\n", one.title, one.family));
    }
    text.push_str(&format!("{}\n\nBring along\n", report.held_to.says));
    for thing in &report.bring {
        let spare = if thing.spare { " (if the old one is worn or due)" } else { "" };
        text.push_str(&format!("  [ ] {:>3}  {}{spare}\n", thing.count, thing.name));
    }
    text.push_str(&format!("\nTime\n  {}\n", report.says()));
    for one in &report.follows {
        if report.follows.len() > 1 {
            text.push_str(&format!("  {}: {}.\n", one.family, one.takes.says));
        }
        if !one.takes.untimed.is_empty() {
            let numbers: Vec<String> = one.takes.untimed.iter().map(usize::to_string).collect();
            let numbers = numbers.join(", ");
            text.push_str(&format!("  Steps {numbers} say no time and are counted as none.\n"));
        }
    }
    if !report.without.is_empty() {
        let without = report.without.join(", ");
        text.push_str(&format!(
            "\nNo procedure is written for {without}: nothing is listed for it.\n"
        ));
    }
    text
}
