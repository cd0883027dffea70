//! The form of the observed sign-off: a trainer watches these steps at the machine before somebody does them alone.

use maud::{Markup, html};
use ouncewise_procedure::quiz::{Watched, sign_off};

use super::Print;
use super::html::{about, caution, standing};

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

/// The form: its title, and what stands on it.
pub(super) fn form(print: &Print<'_>) -> (String, Markup) {
    let said = if print.said().lang == "es" { &SPANISH } else { &ENGLISH };
    let title = format!("{}: {}", said.title, print.procedure.title.of(print.language));
    let main = html! {
        h1 { (title) }
        (about(print))
        p class="blanks" { @for what in [said.crew, said.trainer, said.place, said.date] { span { (what) } } }
        p { (said.how) }
        table {
            thead { tr { th scope="col" { (said.step) } th scope="col" class="wide" { (said.watched) } th scope="col" { (said.right) } th scope="col" { (said.again) } } }
            tbody { @for one in sign_off(print.family, print.procedure, print.terms) { (row(print, &one)) } }
        }
        p class="end" { "☐ " b { (said.alone) } }
        p class="blanks end" { span { "☐ " (said.not_yet) } }
        p class="blanks end" { @for who in [said.crew, said.trainer] { span { (said.signed) ", " (who) } } span { (said.date) } }
        p class="model" { (said.model) }
        p class="model" { (standing(print)) }
    };
    (title, main)
}

fn row(print: &Print<'_>, one: &Watched) -> Markup {
    html! {
        tr {
            th scope="row" { @if one.must_not_skip { "■ " } (one.number) }
            td {
                (one.say.of(print.language))
                @if let Some(words) = print.look_for(&one.look_for) { " " i { (words) } }
                @for own in print.cautions(&one.cautions) { " " (caution(print, &own)) }
            }
            td class="tick" { "☐" }
            td class="tick" { "☐" }
        }
    }
}

#[cfg(test)]
mod tests {
    use ouncewise_procedure::{Terms, read};

    use super::*;
    use crate::card::Printed;
    use crate::sheet::Paper;

    #[test]
    fn it_has_every_step_that_must_not_be_skipped_a_tick_for_each_and_room_to_sign() {
        let family = include_str!("../../../../content/procedures/screw-trim/family.toml");
        let text = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
        let family = read::family("family.toml", family).0.unwrap();
        let procedure = read::procedure("p.toml", text, &family).0.unwrap();
        let terms = Terms::default();
        let must = ouncewise_procedure::skips(&family, &procedure, &terms).must_not_skip();
        let watched = sign_off(&family, &procedure, &terms);
        for (language, paper, words, always) in [
            ("en", Paper::A4, ["Observed sign-off", "May do it alone", "size:A4"], ">Follow"),
            (
                "es",
                Paper::Letter,
                ["Visto bueno", "sin revisar", "size:letter"],
                "[sin revisar] </b>Siga",
            ),
        ] {
            let print = Print {
                family: &family,
                procedure: &procedure,
                terms: &terms,
                paper,
                language,
                version: "0123456789abcdef",
            };
            let page = print.page(Printed::SignOff, None);
            for word in words.into_iter().chain(["0123456789ab", "⚠", "screw-trim", always]) {
                assert!(page.contains(word), "{word}");
            }
            for number in &must {
                assert!(page.contains(&format!("<th scope=\"row\">■ {number}</th>")), "{number}");
            }
            // Hazard, consequence, and how to avoid it.
            for own in watched.iter().flat_map(|one| &one.cautions) {
                let own = family.caution(own).unwrap();
                for words in [&own.hazard, &own.consequence, &own.avoid] {
                    let words = html! { (words.of(language)) }.into_string();
                    assert!(page.contains(&words), "{words}");
                }
            }
            let rows = page.matches("<th scope=\"row\">").count();
            assert!(rows > must.len(), "cautions are watched too");
            assert_eq!(page.matches("class=\"tick\"").count(), 2 * rows);
            let page = print.page(Printed::SignOff, Some("/style.css"));
            assert!(!page.contains("<style") && page.contains("href=\"/style.css\""));
        }
    }
}
