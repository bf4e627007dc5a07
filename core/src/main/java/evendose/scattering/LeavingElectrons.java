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
    /** Lower end of bin {@code i} of the energy, keV. */
    public double energyKev(int i) {
        return beamKev * i / primariesByEnergy.size();
    }

    /** Lower end of bin {@code i} of the angle, degrees. */
    public double angleDeg(int i) {
        return 90.0 * i / primariesByAngle.size();
    }

    /** Solid angle of bin {@code i} of the angle, sr. */
    public double solidAngleSr(int i) {
        return 2 * Math.PI * (Math.cos(Math.toRadians(angleDeg(i))) - Math.cos(Math.toRadians(angleDeg(i + 1))));
    }
}
