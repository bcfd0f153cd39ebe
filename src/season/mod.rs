//! Replay: settings, readings and loads carried down the page and through the days.
