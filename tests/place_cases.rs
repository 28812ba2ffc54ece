//! The worked case of places does what its comments promise.

use panelwright::case::load;
use panelwright_solver::place::{ExciterPlaces, exciter_places};
use panelwright_tests::case as path_of;

fn found(name: &str) -> ExciterPlaces {
    panelwright_solver::single_threaded_blas();
    let case = load(&path_of(name)).unwrap_or_else(|problems| panic!("{problems:?}"));
    exciter_places(&case.scene, &case.places, &|_| ()).expect("a worked case can be searched")
}

#[test]
fn the_hung_panel_has_better_places_than_rules_of_thumb_offer() {
    let found = found("tea-room-place.toml");
    assert!(found.whole.best.evenness < found.whole.now.evenness, "{:?}", found.whole);
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
}
