//! Stub: see the contract.
