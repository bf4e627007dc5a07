package evendose.scattering;

import evendose.psf.RadialProfile;
import java.util.List;

/**
 * What a simulation found. Energies are per electron of the beam, keV.
 *
 * @param stack what was simulated
 * @param settings how
 * @param electrons number of electrons followed
 * @param profile energy in the resist by radius, with replicates, so that numbers fitted to it have statistical errors
 * @param forward part of it left before the electron, or the one that set it free, came into the resist from below
 * @param returning the rest
 * @param depthUm thickness that the slices divide evenly: the resist's, or the electrons' range in a resist without end
 * @param slices energy in slices of the resist from its top; the last holds what is deeper
 * @param sliceProfiles the same by radius
 * @param beyondKev energy in the resist beyond the last ring
 * @param energyRatio energy returning over forward: what eta stands for
 * @param backscatteredFraction electrons of the beam that leave through the surface, per electron
 * @param transmittedFraction electrons of the beam that leave below, per electron
 * @param fastSecondaryFraction fast secondaries that leave through the surface, per electron
 * @param meanBackscatteredKev mean energy of backscattered electrons of the beam, keV; NaN if there are none
 * @param meanTransmittedKev mean energy of transmitted ones, keV; NaN if there are none
 * @param layerKev energy left in each layer
 * @param escapedUpKev energy that leaves through the surface
 * @param escapedDownKev energy that leaves below
 * @param restKev part of {@code layerKev} left at a point: at the cut-off, or by electrons outside the resist that could not
 *     leave their layer any more
 * @param elasticCollisions elastic collisions followed, in all
 * @param hardCollisions hard inelastic collisions followed, in all
 */
public record ScatteringResult(
        LayerStack stack,
        ScatteringSettings settings,
        long electrons,
        RadialProfile profile,
        RadialProfile forward,
        RadialProfile returning,
        double depthUm,
        List<Estimate> slices,
        List<RadialProfile> sliceProfiles,
        double beyondKev,
        Estimate energyRatio,
        Estimate backscatteredFraction,
        Estimate transmittedFraction,
        Estimate fastSecondaryFraction,
        Estimate meanBackscatteredKev,
        Estimate meanTransmittedKev,
        List<Estimate> layerKev,
        Estimate escapedUpKev,
        Estimate escapedDownKev,
        Estimate restKev,
        long elasticCollisions,
        long hardCollisions) {
    /** Energy found again, in layers, above and below, over that of the beam, less 1: rounding only. */
    public double energyImbalance() {
        double found = escapedUpKev.value() + escapedDownKev.value();
        for (Estimate e : layerKev) {
            found += e.value();
        }
        return found / settings.energyKev() - 1;
    }
}
