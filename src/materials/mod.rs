//! Casting systems: components, ratio, densities, times, hardness.
