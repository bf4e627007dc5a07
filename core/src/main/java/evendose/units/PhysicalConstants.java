package evendose.units;

/** Physical constants, CODATA 2018 (E. Tiesinga et al., Rev. Mod. Phys. 93, 025010 (2021)). */
public final class PhysicalConstants {
    /** Elementary charge, C (exact). */
    public static final double ELEMENTARY_CHARGE_C = 1.602176634e-19;

    /** Avogadro constant, 1/mol (exact). */
    public static final double AVOGADRO_PER_MOL = 6.02214076e23;

    /** Rest energy of the electron, keV. */
    public static final double ELECTRON_REST_KEV = 510.99895000;

    /** Classical electron radius, cm. */
    public static final double ELECTRON_RADIUS_CM = 2.8179403262e-13;

    private PhysicalConstants() {}
}
