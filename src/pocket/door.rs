//! The desk, as a browser's script sees it.

use wasm_bindgen::prelude::wasm_bindgen;

use super::desk;

/// A book in memory.
#[wasm_bindgen]
pub struct Desk(desk::Desk);

#[wasm_bindgen]
impl Desk {
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self(desk::Desk::new())
    }

    pub fn put(&mut self, path: &str, text: &str) {
        self.0.put(path, text);
    }

    pub fn findings(&mut self, on: &str) -> String {
        self.0.findings(on)
    }

    pub fn figures(&mut self, path: &str) -> String {
        self.0.figures(path)
    }

    pub fn told(&mut self, path: &str, text: &str, on: &str) -> String {
        self.0.told(path, text, on)
    }
}
