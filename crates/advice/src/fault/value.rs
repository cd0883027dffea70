//! What a test is worth before a part is replaced.

/// How well a test tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// Probability that it shows a fault that is there.
    pub sensitivity: f64,
    /// Probability that it shows none where there is none.
    pub specificity: f64,
}

/// What the choice costs on average, in the unit of the costs given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestValue {
    /// Without a test: the lesser of replacing and leaving.
    pub without: f64,
    /// With the test, its own cost left out.
    pub with: f64,
    /// The most that the test may cost and still be worth it.
    pub value: f64,
    /// The same for a test that never errs.
    pub perfect: f64,
}

/// The value of a test for a part that is faulty with the probability `chance`, costs `replace` to replace, and costs `leave`
/// if it is left though faulty (Raiffa and Schlaifer 1961).
#[must_use]
pub fn value_of_test(chance: f64, replace: f64, leave: f64, test: Test) -> TestValue {
    // Each answer with its probability together with and without the fault.
    let least = |faulty: f64, sound: f64| (replace * (faulty + sound)).min(leave * faulty);
    let without = least(chance, 1.0 - chance);
    let shown = least(chance * test.sensitivity, (1.0 - chance) * (1.0 - test.specificity));
    let none = least(chance * (1.0 - test.sensitivity), (1.0 - chance) * test.specificity);
    let with = shown + none;
    TestValue { without, with, value: without - with, perfect: without - least(chance, 0.0) }
}
