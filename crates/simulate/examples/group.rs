//! How long it takes to say where every line of a large group stands and what to do about it, from the records of all its
//! machines: what the benchmarks time.
//!
//! `cargo run --release -p ouncewise-simulate --example group -- SITES WEEKS [fit]`: one machine of twelve lines at each site. The
//! records are made a few machines at a time, off the clock; on it are the story of each line, the joint filter, and the advice, on
//! all cores. With `fit`, the largest family is fitted too, from no more machines than a fit looks at. Prints JSON.

#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a program that times, and prints one answer"
)]

use std::error::Error;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use ouncewise_advice::lines::{Behaviours, by_history};
use ouncewise_estate::Estate;
use ouncewise_estimate::fit::{MOST, fit};
use ouncewise_estimate::joint::Behaviour;
use ouncewise_estimate::{history, stand};
use ouncewise_ledger::{Record, Scope};
use ouncewise_simulate::fleet::{self, Config};

/// Machines whose records are held at once.
const AT_ONCE: usize = 24;

/// The records of one site, which has one machine.
type OfSite = (String, Vec<Record>);

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (sites, weeks, fits) = match args.as_slice() {
        [sites, weeks] => (sites.parse()?, weeks.parse()?, false),
        [sites, weeks, fit] if fit == "fit" => (sites.parse()?, weeks.parse()?, true),
        _ => return Err("say a number of sites, of weeks and, if you like, `fit`".into()),
    };
    let fleet = fleet::generate(Config {
        sites,
        lines_per_machine: 12,
        weeks,
        ..Config::new(7, jiff::civil::date(2024, 3, 4))
    });
    let threads = std::thread::available_parallelism()?.get();
    let (mut spent, mut machines, mut records, mut acts) = (Duration::ZERO, 0, 0, 0);
    let mut pasts = Vec::new();
    let mut held: Vec<OfSite> = Vec::new();
    let mut advise = |held: &mut Vec<OfSite>| {
        let started = Instant::now();
        // Whichever is free takes the next machine.
        let next = AtomicUsize::new(0);
        let take = || held.get(next.fetch_add(1, Ordering::Relaxed));
        let share = || std::iter::from_fn(take).map(|of| acts_of(&fleet.estate, of)).sum::<usize>();
        acts += std::thread::scope(|scope| {
            let shares: Vec<_> = (0..threads).map(|_| scope.spawn(share)).collect();
            shares.into_iter().map(|share| share.join().unwrap_or(0)).sum::<usize>()
        });
        spent += started.elapsed();
        machines += held.len();
        records += held.iter().map(|(_, records)| records.len()).sum::<usize>();
        for (site, all) in held.drain(..) {
            if !fits || pasts.len() == MOST {
                continue;
            }
            let family = &fleet.estate.sites[&*site].machines["m1"].family;
            if &**family == "screw-trim" {
                let happened = all.iter().map(|record| (record, &record.body));
                pasts.extend(history::read(&fleet.estate, &site, "m1", happened).map(|h| h.past));
            }
        }
    };
    for draft in fleet.drafts() {
        let site =
            draft.record.scope.site_key().ok_or("all that happens, happens at a site")?.to_owned();
        if held.last().is_none_or(|(last, _)| *last != site) {
            if held.len() == AT_ONCE {
                advise(&mut held);
            }
            held.push((site, Vec::new()));
        }
        if let Some((_, records)) = held.last_mut() {
            records.push(draft.record);
        }
    }
    advise(&mut held);
    let fitting = Instant::now();
    let fitted = fit(&pasts, &Behaviour::default(), threads);
    let said = serde_json::json!({
        "machines": machines,
        "records": records,
        "acts": acts,
        "seconds": spent.as_secs_f64(),
        "fit": fitted.map(|fitted| serde_json::json!({
            "machines": fitted.machines,
            "readings": fitted.readings,
            "seconds": fitting.elapsed().as_secs_f64(),
        })),
    });
    println!("{said}");
    Ok(())
}

/// How many lines of a machine got an act.
fn acts_of(estate: &Estate, (site, records): &OfSite) -> usize {
    let Ok(scope) = Scope::site(site) else { return 0 };
    let happened = || records.iter().map(|record| (record, &record.body));
    let rows = stand(estate, &scope, "m1", |_| true, happened());
    by_history(estate, &Behaviours::default(), (site, "m1"), rows, happened()).len()
}
