//! The words of a card that are not the procedure's own, in each language that it can be printed in.

use ouncewise_procedure::AfterRule;
use ouncewise_procedure::family::Signal;

/// The fixed words of a card.
#[derive(Debug)]
pub(super) struct Said {
    pub(super) lang: &'static str,
    pub(super) must_not_skip: &'static str,
    pub(super) unreviewed: &'static str,
    pub(super) bring: &'static str,
    pub(super) if_needed: &'static str,
    pub(super) look_for: &'static str,
    pub(super) always: &'static str,
    pub(super) machine: &'static str,
    pub(super) each_line: &'static str,
    pub(super) all_lines: &'static str,
    pub(super) step: &'static str,
    pub(super) end: &'static str,
    pub(super) back_at_most: &'static str,
    pub(super) after_that: &'static str,
    pub(super) may_stop: &'static str,
    pub(super) version: &'static str,
    pub(super) code: &'static str,
    pub(super) no_code: &'static str,
    pub(super) model: &'static str,
    pub(super) standing: [&'static str; 5],
}

const ENGLISH: Said = Said {
    lang: "en",
    must_not_skip: "MUST NOT SKIP",
    unreviewed: "not reviewed",
    bring: "Bring along",
    if_needed: "if the old one is worn or due",
    look_for: "Look for",
    always: "Always",
    machine: "once",
    each_line: "all steps on one line, then the next line",
    all_lines: "each step on every line, then the next step",
    step: "step",
    end: "end",
    back_at_most: "back at most",
    after_that: "after that",
    may_stop: "The work may stop here for the day.",
    version: "Version",
    code: "Food code",
    no_code: "none chosen",
    model: "The model says which steps must not be skipped. It knows the text, not this machine.",
    standing: [
        "Follow the product's label, the machine's manual and the local code; where they differ, the stricter applies. This card is none of them.",
        "Electrical, refrigeration, gas and pressure work: licensed technicians only.",
        "Vent or open nothing that holds pressure.",
        "A panel's lock isolates nothing.",
        "If a line seems unsafe, stop it: you always may.",
    ],
};

const SPANISH: Said = Said {
    lang: "es",
    must_not_skip: "NO OMITIR",
    unreviewed: "sin revisar",
    bring: "Llevar",
    if_needed: "si la vieja está gastada o toca cambiarla",
    look_for: "Fíjese en",
    always: "Siempre",
    machine: "una vez",
    each_line: "todos los pasos en una línea, después la siguiente",
    all_lines: "cada paso en todas las líneas, después el siguiente",
    step: "paso",
    end: "fin",
    back_at_most: "atrás como mucho",
    after_that: "después",
    may_stop: "El trabajo puede parar aquí hasta otro día.",
    version: "Versión",
    code: "Norma",
    no_code: "ninguna elegida",
    model: "El modelo dice qué pasos no se omiten. Conoce el texto, no esta máquina.",
    standing: [
        "Siga la etiqueta del producto, el manual de la máquina y las normas locales; si difieren, vale lo más estricto. Esta tarjeta no los sustituye.",
        "Electricidad, refrigeración, gas y presión: solo técnicos autorizados.",
        "No purgue ni abra nada que tenga presión.",
        "El bloqueo del panel no aísla nada.",
        "Si una línea parece insegura, párela: siempre puede hacerlo.",
    ],
};

/// The words of a language; those of English, where it has none.
pub(super) fn of(language: &str) -> &'static Said {
    match language {
        "es" => &SPANISH,
        _ => &ENGLISH,
    }
}

/// A signal word, as it is printed.
pub(super) fn signal(signal: Signal, language: &str) -> &'static str {
    match (signal, language) {
        (Signal::Danger, "es") => "PELIGRO",
        (Signal::Warning, "es") => "ADVERTENCIA",
        (Signal::Caution, "es") => "ATENCIÓN",
        (Signal::Notice, "es") => "AVISO",
        (Signal::Danger, _) => "DANGER",
        (Signal::Warning, _) => "WARNING",
        (Signal::Caution, _) => "CAUTION",
        (Signal::Notice, _) => "NOTICE",
    }
}

/// An answer, as it is printed: those that verbs give, and yes and no; another is its author's own word.
pub(super) fn answer<'a>(answer: &'a str, language: &str) -> &'a str {
    match (answer, language) {
        ("yes", "es") => "sí",
        ("right", "es") => "correcta",
        ("wrong", "es") => "incorrecta",
        ("good", "es") => "bien",
        ("worn", "es") => "gastada",
        ("on", "es") => "dentro",
        ("off", "es") => "fuera",
        ("undecided", "es") => "sin decidir",
        ("on", _) => "on target",
        ("off", _) => "off target",
        _ => answer,
    }
}

/// What follows sanitising, in words.
pub(super) fn after(rule: AfterRule, language: &str) -> &'static str {
    match (rule, language) {
        (AfterRule::DrainNoRinse, "es") => "escurrir, no enjuagar",
        (AfterRule::Drain, "es") => "escurrir",
        (AfterRule::Rinse, "es") => "enjuagar",
        (AfterRule::DrainNoRinse, _) => "drain, do not rinse",
        (AfterRule::Drain, _) => "drain",
        (AfterRule::Rinse, _) => "rinse",
    }
}
