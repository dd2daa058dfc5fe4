//! What a product is called.

use super::super::Knowledge;
use super::Product;
use std::collections::BTreeMap;

impl Knowledge {
    /// A product by its id, its name or what people call it; any case, `-` for spaces.
    #[must_use]
    pub fn product_called(&self, words: &str) -> Option<&Product> {
        self.products.get(*self.product_names.get(&plain_name(words))?)
    }
}

/// The place of each product by all that it is called; of two of one name the first.
pub(super) fn product_names(products: &[Product]) -> BTreeMap<String, usize> {
    let mut names = BTreeMap::new();
    for (at, product) in products.iter().enumerate() {
        for name in [&product.id, &product.name].into_iter().chain(&product.words) {
            names.entry(plain_name(name)).or_insert(at);
        }
    }
    names
}

/// A name in lower case with blanks for `-`.
fn plain_name(name: &str) -> String {
    name.trim().to_lowercase().replace('-', " ")
}
