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
 * @param farShare share of the energy in the resist that lies beyond the far radius of the settings
 * @param farRatio the same energy over the forward one
 * @param backscatteredFraction electrons of the beam that leave through the surface, per electron
 * @param transmittedFraction electrons of the beam that leave below, per electron
 * @param fastSecondaryFraction fast secondaries that leave through the surface, per electron
 * @param meanBackscatteredKev mean energy of backscattered electrons of the beam, keV; NaN if there are none
 * @param meanTransmittedKev mean energy of transmitted ones, keV; NaN if there are none
 * @param layerKev energy left in each layer
 * @param upPrimaryKev energy that electrons of the beam carry out through the surface
 * @param upSecondaryKev energy that fast secondaries carry out there
 * @param downPrimaryKev energy that electrons of the beam carry out below
 * @param downSecondaryKev energy that fast secondaries carry out there
 * @param restKev part of {@code layerKev} left at a point: at the cut-off, or by electrons outside the resist that could not
 *     leave their layer any more
 * @param leaving electrons that leave through the surface, by energy and angle
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
        Estimate farShare,
        Estimate farRatio,
        Estimate backscatteredFraction,
        Estimate transmittedFraction,
        Estimate fastSecondaryFraction,
        Estimate meanBackscatteredKev,
        Estimate meanTransmittedKev,
        List<Estimate> layerKev,
        Estimate upPrimaryKev,
        Estimate upSecondaryKev,
        Estimate downPrimaryKev,
        Estimate downSecondaryKev,
        Estimate restKev,
        LeavingElectrons leaving,
        long elasticCollisions,
        long hardCollisions) {
    /** {@return energy found again, in layers, above and below, keV per electron: that of the beam but for rounding} */
    public double foundKev() {
        double found =
                upPrimaryKev.value() + upSecondaryKev.value() + downPrimaryKev.value() + downSecondaryKev.value();
        for (Estimate e : layerKev) {
            found += e.value();
        }
        return found;
    }

    /** {@link #foundKev} over the energy of the beam, less 1: rounding only. */
    double energyImbalance() {
        return foundKev() / settings.energyKev() - 1;
    }
}
