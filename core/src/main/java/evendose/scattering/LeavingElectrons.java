package evendose.scattering;

import java.util.List;

/**
 * Electrons that leave through the surface, per electron of the beam, in even bins: of their energy from 0 to that of the beam,
 * and of their angle from the normal to 90 degrees.
 *
 * @param beamKev energy of the beam, keV
 * @param primariesByEnergy electrons of the beam, by energy
 * @param secondariesByEnergy fast secondaries, by energy
 * @param primariesByAngle electrons of the beam, by angle
 * @param secondariesByAngle fast secondaries, by angle
 */
public record LeavingElectrons(
        double beamKev,
        List<Estimate> primariesByEnergy,
        List<Estimate> secondariesByEnergy,
        List<Estimate> primariesByAngle,
        List<Estimate> secondariesByAngle) {
    /**
     * {@return lower end of bin {@code i} of the energy, keV}
     *
     * @param i number of the bin, from 0
     */
    public double energyKev(int i) {
        return beamKev * i / primariesByEnergy.size();
    }

    /**
     * {@return lower end of bin {@code i} of the angle, degrees}
     *
     * @param i number of the bin, from 0
     */
    public double angleDeg(int i) {
        return 90.0 * i / primariesByAngle.size();
    }

    /**
     * {@return solid angle of bin {@code i} of the angle, sr}
     *
     * @param i number of the bin, from 0
     */
    public double solidAngleSr(int i) {
        return 2 * Math.PI * (Math.cos(Math.toRadians(angleDeg(i))) - Math.cos(Math.toRadians(angleDeg(i + 1))));
    }
}
