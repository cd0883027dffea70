//! `ouncewise calc strength`: whether a sanitiser solution is accepted, without a ledger.

use std::fmt::Write;

use jiff::ZonedDateTime;
use ouncewise_measure::print::{Units, significant};
use ouncewise_report::{
    Exit, Failure, StrengthFinding, StrengthReport, StrengthWords, calculate_strength,
};

use crate::args::CalcStrength;
use crate::output::Output;

/// Runs it. The answer is no unless everything is accepted.
pub fn run(args: &CalcStrength, output: &Output) -> Result<Exit, Failure> {
    let report = calculate_strength(&words(args)?, output.units(Units::default()))
        .map_err(|e| e.failure("--"))?;
    output.result(&report, || text(&report));
    Ok(if report.holds() { Exit::Done } else { Exit::No })
}

fn words(args: &CalcStrength) -> Result<StrengthWords, Failure> {
    let today = args.today.clone().unwrap_or_else(|| ZonedDateTime::now().date().to_string());
    Ok(StrengthWords {
        profile: super::profiles::named(&args.profile)?,
        chemistry: args.chemistry.clone(),
        label_strength: args.label_strength.clone(),
        label_contact: args.label_contact.clone(),
        label_temperature: args.label_temperature.clone(),
        label_ph: args.label_ph.clone(),
        label_hardness: args.label_hardness.clone(),
        label_rinse: args.label_rinse.clone(),
        components: args.components.clone(),
        signal_word: args.signal_word.clone(),
        product: args.product.clone(),
        density: args.density.clone(),
        dose: args.dose.clone(),
        water: args.water.clone(),
        applied: args.applied.clone(),
        temperature: args.temperature.clone(),
        ph: args.ph.clone(),
        hardness: args.hardness.clone(),
        strips: args.strips.clone(),
        bucket: args.bucket.clone(),
        outlet: args.outlet.clone(),
        strips_expire: args.strips_expire.clone(),
        product_expires: args.product_expires.clone(),
        today: Some(today),
        dose_error: args.dose_error.clone(),
        assay_error: args.assay_error.clone(),
        water_error: args.water_error.clone(),
        contact: args.contact.clone(),
        stood: args.stood.clone(),
        did: args.did.clone(),
        hot_water: args.hot_water.clone(),
    })
}

fn text(report: &StrengthReport) -> String {
    let mut text = String::new();
    let mut row = |name: &str, words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{name:<10} {words}");
    };
    row("verdict", &report.verdict);
    if let Some(act) = &report.act {
        row("do", act);
    }
    if let Some(strength) = report.mg_per_l {
        row("strength", &format!("{} mg/L", significant(strength, 3)));
    }
    for finding in &report.findings {
        row(&finding.by, &said(finding));
    }
    for words in report.aim.iter().chain(&report.mix) {
        row("aim", words);
    }
    for words in &report.vessels {
        row("vessel", words);
    }
    for finding in &report.contact {
        row("contact", &said(finding));
    }
    if let Some(least) = report.least_contact {
        row(
            "contact",
            &format!("at least {} s, from the strip at the outlet", significant(least, 3)),
        );
    }
    for (name, words) in
        [("outlet", &report.outlet), ("stood", &report.stood), ("acid", &report.hypochlorous)]
    {
        if let Some(words) = words {
            row(name, words);
        }
    }
    row("before", &report.before);
    for finding in &report.order {
        row("order", &said(finding));
    }
    row("after", &report.after);
    for limit in &report.food {
        row("food", &format!("{} ({}; {})", limit.words, limit.clause, limit.known));
    }
    for note in &report.notes {
        row("mind", note);
    }
    for caution in &report.cautions {
        row(&caution.word, &format!("{} {}", caution.what, caution.avoid));
    }
    row("rules", &report.profile);
    row("", &report.standing);
    text
}

fn said(finding: &StrengthFinding) -> String {
    let mut words = format!("{}: {}", finding.outcome.replace('-', " "), finding.say);
    if let (Some(clause), Some(known)) = (&finding.clause, &finding.known) {
        let _ = write!(words, " ({clause}; {known})");
    }
    words
}
