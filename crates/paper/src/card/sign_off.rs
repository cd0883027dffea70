//! The form of the observed sign-off: a trainer watches these steps at the machine before somebody does them alone.

use std::fmt::Write as _;

use maud::{DOCTYPE, PreEscaped, html};
use ouncewise_procedure::quiz::{Watched, sign_off};
use ouncewise_procedure::{Family, Procedure, Terms};

use super::{Print, html as card, unreviewed, words};
use crate::sheet::Paper;

const STYLE: &str = include_str!("sign_off.css");

/// The fixed words of a form.
struct Said {
    title: &'static str,
    how: &'static str,
    crew: &'static str,
    trainer: &'static str,
    place: &'static str,
    date: &'static str,
    step: &'static str,
    watched: &'static str,
    right: &'static str,
    again: &'static str,
    alone: &'static str,
    not_yet: &'static str,
    signed: &'static str,
    model: &'static str,
}

const ENGLISH: Said = Said {
    title: "Observed sign-off",
    how: "The trainer watches each of these steps at the machine, helps with none, and ticks what was done rightly. What was not is shown again, and watched again on another day; a step that does not come up is told instead. The trainer steps in at once where anybody could be hurt.",
    crew: "Crew member",
    trainer: "Trainer",
    place: "Site and machine",
    date: "Date",
    step: "Step",
    watched: "What is watched",
    right: "Done rightly",
    again: "Show again",
    alone: "May do it alone",
    not_yet: "Not yet; to be shown again by",
    signed: "Signed",
    model: "These are the steps that must not be skipped (■) and those with a caution. The model chose them: it knows the text, not this machine, and a signature says who watched, not that the machine is clean.",
};

const SPANISH: Said = Said {
    title: "Visto bueno tras observar",
    how: "Quien enseña observa cada uno de estos pasos en la máquina, no ayuda en ninguno y marca lo que se hizo bien. Lo que no, se enseña otra vez y se observa otro día; un paso que no toca, se explica. Quien enseña interviene enseguida si alguien puede hacerse daño.",
    crew: "Quien aprende",
    trainer: "Quien enseña",
    place: "Local y máquina",
    date: "Fecha",
    step: "Paso",
    watched: "Lo que se observa",
    right: "Bien hecho",
    again: "Enseñar otra vez",
    alone: "Puede hacerlo sin ayuda",
    not_yet: "Todavía no; se enseña otra vez antes del",
    signed: "Firma",
    model: "Son los pasos que no se omiten (■) y los que llevan una advertencia. Los eligió el modelo: conoce el texto, no esta máquina, y una firma dice quién observó, no que la máquina esté limpia.",
};

/// A form, ready to be printed.
#[derive(Debug, Clone, PartialEq)]
pub struct SignOff<'a> {
    print: Print<'a>,
    family: &'a Family,
    procedure: &'a Procedure,
    terms: Terms,
    watched: Vec<Watched>,
    unreviewed: bool,
}

impl<'a> SignOff<'a> {
    /// The form of a procedure. It says nothing of whether the text holds: check that first.
    #[must_use]
    pub fn new(
        family: &'a Family,
        procedure: &'a Procedure,
        terms: &Terms,
        print: Print<'a>,
    ) -> Self {
        Self {
            unreviewed: unreviewed(procedure, print.language),
            print,
            family,
            procedure,
            terms: terms.clone(),
            watched: sign_off(family, procedure, terms),
        }
    }

    /// As one HTML document with its print style inside: nothing is fetched and nothing runs.
    #[must_use]
    pub fn to_html(&self) -> String {
        self.render(None)
    }

    /// As an HTML document whose style is at an address, for a server that allows no style inside a page.
    #[must_use]
    pub fn to_page(&self, style_at: &str) -> String {
        self.render(Some(style_at))
    }

    fn render(&self, style_at: Option<&str>) -> String {
        let language = self.print.language;
        let fixed = words::of(language);
        let said = if fixed.lang == "es" { &SPANISH } else { &ENGLISH };
        let title = self.procedure.title.of(language);
        let code = self.terms.code.as_deref().unwrap_or(fixed.no_code);
        let after = words::after(self.terms.after, language);
        let short = self.print.version.get(..12).unwrap_or(self.print.version);
        let mut about = format!(
            "{} · {} {short} · {}: {code} ({after})",
            self.family.key, fixed.version, fixed.code
        );
        if self.unreviewed {
            let _ = write!(about, " · {}: {}", fixed.lang, fixed.unreviewed);
        }
        html! {
            (DOCTYPE)
            html lang=(fixed.lang) {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (said.title) ": " (title) ", " (self.family.key) }
                    @match style_at {
                        Some(href) => link rel="stylesheet" href=(href);,
                        None => style { (PreEscaped(style(self.print.paper))) },
                    }
                }
                body {
                    main {
                        h1 { (said.title) ": " (title) }
                        p { (about) }
                        p class="blanks" { @for what in [said.crew, said.trainer, said.place, said.date] { span { (what) } } }
                        p { (said.how) }
                        table {
                            thead { tr { th scope="col" { (said.step) } th scope="col" class="wide" { (said.watched) } th scope="col" { (said.right) } th scope="col" { (said.again) } } }
                            tbody { @for one in &self.watched { (self.row(one)) } }
                        }
                        p class="end" { "☐ " b { (said.alone) } }
                        p class="blanks end" { span { "☐ " (said.not_yet) } }
                        p class="blanks end" { @for who in [said.crew, said.trainer] { span { (said.signed) ", " (who) } } span { (said.date) } }
                        p class="model" { (said.model) }
                        p class="model" { (fixed.standing.join(" ")) }
                    }
                }
            }
        }
        .into_string()
    }

    fn row(&self, one: &Watched) -> maud::Markup {
        let language = self.print.language;
        let fixed = words::of(language);
        let look_for = one.look_for.of(language);
        let unreviewed = html! { @if self.unreviewed { b { "[" (fixed.unreviewed) "] " } } };
        let cautions = one.cautions.iter().filter_map(|key| self.family.caution(key));
        html! {
            tr {
                th scope="row" { @if one.must_not_skip { "■ " } (one.number) }
                td {
                    (one.say.of(language))
                    @if !look_for.is_empty() { " " i { (fixed.look_for) ": " (look_for) } }
                    @for own in cautions {
                        " " b { "⚠ " (words::signal(own.signal, language)) ": " } (unreviewed) (own.hazard.of(language)) " " (own.avoid.of(language))
                    }
                }
                td class="tick" { "☐" }
                td class="tick" { "☐" }
            }
        }
    }
}

/// The style that belongs to [`SignOff::to_page`].
#[must_use]
pub fn style(paper: Paper) -> String {
    format!("{}\n{STYLE}", card::style(paper))
}

#[cfg(test)]
mod tests {
    use ouncewise_procedure::read;

    use super::*;

    #[test]
    fn it_has_every_step_that_must_not_be_skipped_a_tick_for_each_and_room_to_sign() {
        let family = include_str!("../../../../content/procedures/screw-trim/family.toml");
        let text = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
        let family = read::family("family.toml", family).0.unwrap();
        let procedure = read::procedure("p.toml", text, &family).0.unwrap();
        let terms = Terms::default();
        let must = ouncewise_procedure::skips(&family, &procedure, &terms).must_not_skip();
        for (language, paper, words) in [
            ("en", Paper::A4, ["Observed sign-off", "May do it alone", "size:A4"]),
            ("es", Paper::Letter, ["Visto bueno", "sin revisar", "size:letter"]),
        ] {
            let print = Print { paper, language, version: "0123456789abcdef" };
            let form = SignOff::new(&family, &procedure, &terms, print);
            let page = form.to_html();
            for word in words.into_iter().chain(["0123456789ab", "⚠", "screw-trim"]) {
                assert!(page.contains(word), "{word}");
            }
            for number in &must {
                assert!(page.contains(&format!("<th scope=\"row\">■ {number}</th>")), "{number}");
            }
            let rows = page.matches("<th scope=\"row\">").count();
            assert!(rows > must.len(), "cautions are watched too");
            assert_eq!(page.matches("class=\"tick\"").count(), 2 * rows);
            let page = form.to_page("/style.css");
            assert!(!page.contains("<style") && page.contains("href=\"/style.css\""));
        }
    }
}
