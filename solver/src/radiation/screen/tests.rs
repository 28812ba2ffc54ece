use super::*;
use panelwright_mesh::Outline;

#[test]
fn quick() {
    let air = Air { density: 1.2, sound_speed: 343.0, ..Air::new(293.15, 0.0, 101_325.0) };
    for f in [100.0, 1000.0, 8000.0, 16000.0] {
        let start = std::time::Instant::now();
        let grid = ScreenGrid::new(&Outline::Rectangle { width: 0.9, height: 0.6 }, (343.0 / f / 8.0f64).min(0.02));
        let t0 = start.elapsed();
        let screen = Screen::new(&grid, f, &air, None);
        let t1 = start.elapsed();
        let v = Array2::from_elem(grid.lattice.shape(), Complex64::ONE);
        let jump = screen.jump(&v);
        let t2 = start.elapsed();
        let d = Dipoles::new(&grid, f, None, &jump);
        let p = d.pressure(&[[0.45, 0.3, 2.5]], &air);
        let t3 = start.elapsed();
        let power = d.power(&air);
        let t4 = start.elapsed();
        let near: f64 = screen.forces_of(&jump).iter().map(|f| -f.re).sum();
        eprintln!("{f} {:?} steps {} res {:.1e} {t0:?} {t1:?} {t2:?} {t3:?} {t4:?} p {:?} power {power} {near}", grid.lattice.shape(), jump.steps, jump.residual, p[0]);
    }
}
