package evendose.psf;

import evendose.Supported;

/** A normalised energy density that depends on the distance from a point exposure only. */
@Supported
public interface RadialModel {
    /**
     * {@return energy density, 1/um^2}
     *
     * @param rUm distance, um, at least 0
     */
    double density(double rUm);

    /**
     * {@return share of the energy beyond a radius, from 1 at 0 to 0 at infinity}
     *
     * @param rUm radius, um, at least 0
     */
    double shareBeyond(double rUm);
}
