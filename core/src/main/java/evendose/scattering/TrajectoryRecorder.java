package evendose.scattering;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/** Collects paths. */
final class TrajectoryRecorder implements TransportKernel.PathRecorder {
    private final List<Trajectory> done = new ArrayList<>();
    private boolean primary;
    private double[] x = new double[1024];
    private double[] z = new double[1024];
    private int size;

    @Override
    public void begin(boolean isPrimary, double xUm, double yUm, double zUm) {
        finish();
        primary = isPrimary;
        to(xUm, yUm, zUm);
    }

    @Override
    public void to(double xUm, double yUm, double zUm) {
        if (size == x.length) {
            x = Arrays.copyOf(x, 2 * size);
            z = Arrays.copyOf(z, 2 * size);
        }
        x[size] = xUm;
        z[size] = zUm;
        size++;
    }

    private void finish() {
        if (size > 0) {
            done.add(new Trajectory(primary, Arrays.copyOf(x, size), Arrays.copyOf(z, size)));
            size = 0;
        }
    }

    List<Trajectory> trajectories() {
        finish();
        return done;
    }
}
