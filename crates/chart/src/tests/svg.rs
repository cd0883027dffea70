//! A picture, read back: its elements with their attributes and texts.

use maud::Markup;

use crate::theme::look;

/// An element, with the text directly in it.
#[derive(Debug)]
pub(crate) struct Element {
    pub(crate) name: String,
    attributes: Vec<(String, String)>,
    pub(crate) text: String,
}

/// All elements of a picture, in order.
#[derive(Debug)]
pub(crate) struct Svg {
    pub(crate) elements: Vec<Element>,
}

impl Svg {
    /// Reads what was drawn. Every element must be closed by its own end tag, or by itself.
    pub(crate) fn of(markup: &Markup) -> Self {
        let mut elements: Vec<Element> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        for part in markup.0.split('<').skip(1) {
            let (tag, text) = part.split_once('>').expect("every tag ends");
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(elements[open.pop().expect("an open element")].name, name);
            } else {
                let (name, rest) = tag.split_once(' ').unwrap_or((tag, ""));
                let attributes = rest.split("\" ").filter_map(|a| a.split_once("=\""));
                let attributes =
                    attributes.map(|(k, v)| (k.to_owned(), v.trim_end_matches('"').to_owned()));
                let attributes = attributes.collect();
                open.push(elements.len());
                elements.push(Element { name: name.to_owned(), attributes, text: String::new() });
            }
            if let Some(&last) = open.last() {
                elements[last].text += &plain(text);
            }
        }
        assert!(open.is_empty(), "an element is not closed");
        Self { elements }
    }

    pub(crate) fn with_class<'a>(&'a self, class: &'a str) -> impl Iterator<Item = &'a Element> {
        self.elements.iter().filter(move |e| e.attribute("class") == class)
    }

    /// The texts that are seen, in the order in which they are drawn.
    pub(crate) fn texts(&self) -> impl Iterator<Item = &Element> {
        self.elements.iter().filter(|e| e.name == "text")
    }

    pub(crate) fn words(&self) -> String {
        self.texts().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Width and height.
    pub(crate) fn size(&self) -> (f64, f64) {
        (self.elements[0].number("width"), self.elements[0].number("height"))
    }
}

impl Element {
    pub(crate) fn attribute(&self, name: &str) -> &str {
        self.attributes.iter().find(|(k, _)| k == name).map_or("", |(_, v)| v)
    }

    pub(crate) fn attributes(&self) -> impl Iterator<Item = &str> {
        self.attributes.iter().map(|(_, v)| v.as_str())
    }

    pub(crate) fn number(&self, name: &str) -> f64 {
        let text = self.attribute(name);
        text.parse().unwrap_or_else(|_| panic!("{name} of {self:?} is no number"))
    }

    /// The second number of a path.
    pub(crate) fn first_y(&self) -> f64 {
        let numbers = self.attribute("d").trim_start_matches('M');
        numbers.split([' ', 'L', 'H']).nth(1).unwrap().parse().unwrap()
    }

    /// From where to where a text reaches, by the estimate of its width.
    pub(crate) fn reach(&self) -> (f64, f64) {
        let look = look(self.attribute("class"));
        let (x, wide) = (self.number("x"), crate::text::width(&self.text, look.size, look.bold));
        match self.attribute("text-anchor") {
            "middle" => (x - wide / 2.0, x + wide / 2.0),
            "end" => (x - wide, x),
            _ => (x, x + wide),
        }
    }
}

fn plain(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}
