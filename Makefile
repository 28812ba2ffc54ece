# make demo        build, predict the tea room's panel, say where the report is
# make test        the whole test suite; random tests with one seed, so that two runs see the same
# make explore     random tests with new seeds and many more cases: what they find becomes a test of its own
# make validation  computed beside published values
# make bench       the benchmarks behind BENCHMARKS.md

.PHONY: demo test explore validation bench

demo:
	@.ci/install build
	cargo build --release
	target/release/panelwright predict cases/tea-room.toml --into target/tea-room

test:
	@.ci/install test
	cargo build --release --workspace
	PROPTEST_RNG_SEED=$${PROPTEST_RNG_SEED:-20251} PANELWRIGHT_PYTHON=$${PANELWRIGHT_PYTHON:-/usr/bin/python3} cargo test --release --workspace

explore:
	@.ci/install build
	PROPTEST_CASES=4000 cargo test --release --workspace --lib

validation:
	@.ci/install build
	cargo build --release --workspace
	target/release/panelwright-validation

bench:
	@.ci/install build
	cargo bench --workspace --bench plate_modes --bench drive --bench response --bench screen --bench boundary --bench board --bench wings --bench surrounds --bench driver_places --bench surfaces
