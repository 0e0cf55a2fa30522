//! A currency, and how amounts in it are rounded.

use super::CostError;
use rust_decimal::{Decimal, RoundingStrategy};

/// What amounts are in: a label that is only printed, and how many decimals they have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Currency {
    label: String,
    decimals: u32,
}

/// Why that is no currency.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CurrencyError {
    /// The label can't be printed beside an amount.
    #[error("`{0}` is no currency; expected 1 to 8 characters without digits, such as EUR")]
    Label(String),
    /// More decimals than any currency has.
    #[error("{0} decimals; expected 0 to 4")]
    Decimals(u32),
}

impl Currency {
    /// Decimals where none are said: cents.
    pub const DECIMALS: u32 = 2;
    /// The most decimals that a currency or a price has.
    pub const DECIMALS_MOST: u32 = 4;

    /// A currency by its label.
    ///
    /// # Errors
    /// [`CurrencyError`].
    pub fn new(label: &str, decimals: u32) -> Result<Self, CurrencyError> {
        let label = label.trim();
        let odd = |c: char| c.is_control() || c.is_numeric() || c == ',' || c == '.' || c == '"';
        if label.is_empty() || label.chars().count() > 8 || label.chars().any(odd) {
            return Err(CurrencyError::Label(label.to_owned()));
        }
        if decimals > Self::DECIMALS_MOST {
            return Err(CurrencyError::Decimals(decimals));
        }
        Ok(Self { label: label.to_owned(), decimals })
    }

    /// The label; empty where none was said.
    pub fn label(&self) -> &str {
        &self.label
    }

    /// How many decimals amounts have.
    pub const fn decimals(&self) -> u32 {
        self.decimals
    }

    /// The same with other decimals.
    ///
    /// # Errors
    /// [`CurrencyError::Decimals`].
    pub fn with_decimals(self, decimals: u32) -> Result<Self, CurrencyError> {
        if decimals > Self::DECIMALS_MOST {
            return Err(CurrencyError::Decimals(decimals));
        }
        Ok(Self { decimals, ..self })
    }

    /// An amount rounded half up to the currency's decimals.
    ///
    /// ```
    /// use cavigram::costs::Currency;
    ///
    /// let euro = Currency::new("EUR", 2)?;
    /// assert_eq!(euro.text(euro.rounded("1.005".parse().unwrap())), "1.01");
    /// # Ok::<(), cavigram::costs::CurrencyError>(())
    /// ```
    pub fn rounded(&self, amount: Decimal) -> Decimal {
        // No amount here is negative, so away from zero is up.
        amount.round_dp_with_strategy(self.decimals, RoundingStrategy::MidpointAwayFromZero)
    }

    /// An amount with all the currency's decimals, without the label.
    pub fn text(&self, amount: Decimal) -> String {
        format!("{:.*}", self.decimals as usize, self.rounded(amount))
    }
}

impl Default for Currency {
    /// No label, cents.
    fn default() -> Self {
        Self { label: String::new(), decimals: Self::DECIMALS }
    }
}

/// The product of several decimals, divided by several: divided last, so that nothing is lost
/// before the end.
pub(super) fn fraction(
    what: &str,
    above: &[Decimal],
    below: &[Decimal],
) -> Result<Decimal, CostError> {
    let product = |factors: &[Decimal]| {
        factors.iter().try_fold(Decimal::ONE, |all, factor| all.checked_mul(*factor))
    };
    let too_large = || CostError::TooLarge { what: what.to_owned() };
    let (above, below) =
        (product(above).ok_or_else(too_large)?, product(below).ok_or_else(too_large)?);
    above.checked_div(below).ok_or_else(too_large)
}

/// The sum of amounts.
pub(super) fn sum(
    what: &str,
    amounts: impl IntoIterator<Item = Decimal>,
) -> Result<Decimal, CostError> {
    let all = amounts.into_iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(one));
    all.ok_or_else(|| CostError::TooLarge { what: what.to_owned() })
}

/// A decimal as short as it can be written: `24`, `0.5`.
pub(super) fn short(value: Decimal) -> String {
    value.normalize().to_string()
}
