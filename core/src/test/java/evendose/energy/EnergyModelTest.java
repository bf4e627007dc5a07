package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class EnergyModelTest {
    @Test
    void engineAgreesWithTheExactEnergy() {
        SplittableRandom random = new SplittableRandom(1);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < 30; i++) {
            for (int j = 0; j < 30; j++) {
                double x = 2 * i + random.nextDouble();
                double y = 2 * j + random.nextDouble();
                if (random.nextInt(3) == 0) {
                    builder.unit()
                            .trapezoid(y, y + 0.5, x, x + 0.6, x + 0.3, x + 0.9)
                            .trapezoid(y + 0.5, y + 0.6, x + 0.3, x + 0.9, x + 0.4, x + 0.4);
                } else {
                    builder.rectangle(x, y, x + 0.2 + 0.7 * random.nextDouble(), y + 0.2 + 0.7 * random.nextDouble());
                }
            }
        }
        Pieces pieces = builder.build();
        double[] dose = random.doubles(pieces.units(), 0.7, 2).toArray();
        Samples samples = TestPieces.sideSamples(pieces, 3, new boolean[pieces.units()]);
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.05), new GaussianTerm(0.1, 0.4), new GaussianTerm(0.4, 5)));
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, psf);
        double[] c = new double[pieces.units()];
        try (Workers workers = Workers.of(2)) {
            EnergyModel model = EnergyModel.build(pieces, samples, psf, workers, Progress.NONE);
            System.out.println(model.choices());
            model.apply(dose, c);
        }
        double worst = 0;
        for (int u = 0; u < pieces.units(); u++) {
            double sum = 0;
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                sum += samples.weight(j) * exact.at(samples.xUm(j), samples.yUm(j));
            }
            worst = Math.max(worst, Math.abs(sum - c[u]));
        }
        System.out.println("worst " + worst);
        assertEquals(0, worst, 0.5e-4);
    }
}
