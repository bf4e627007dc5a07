package evendose.scattering;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;

/**
 * A chemical element.
 *
 * <p>Atomic weights: IUPAC standard values, rounded to five digits (of elements without one, the mass number of the
 * longest-lived isotope). Mean excitation energies: ICRU Report 37 (1984), as the NIST tables use them; those of H, C, O, Si,
 * Cr, Ga, As, Ta, W and Au were read again at NIST ({@link #published}), the others are from memory. Densities: those that the NIST
 * stopping-power programs take (M. J. Berger et al., NISTIR 4999), from memory; gases at 20 degrees and one atmosphere.
 *
 * @param atomicNumber Z, from 1
 * @param symbol chemical symbol
 * @param atomicWeight A, g/mol
 * @param densityGPerCm3 density of the element by itself, g/cm^3
 * @param meanExcitationEv I of the element by itself, eV
 */
public record Element(
        int atomicNumber, String symbol, double atomicWeight, double densityGPerCm3, double meanExcitationEv) {
    private static final String TABLE = """
            H   1.008   8.375e-5 19.2
            He  4.0026  1.663e-4 41.8
            Li  6.94    0.534    40
            Be  9.0122  1.848    63.7
            B   10.81   2.37     76
            C   12.011  2.0      81.0
            N   14.007  1.165e-3 82
            O   15.999  1.332e-3 95.0
            F   18.998  1.580e-3 115
            Ne  20.180  8.385e-4 137
            Na  22.990  0.971    149
            Mg  24.305  1.74     156
            Al  26.982  2.699    166
            Si  28.085  2.33     173
            P   30.974  2.2      173
            S   32.06   2.0      180
            Cl  35.45   2.995e-3 174
            Ar  39.95   1.662e-3 188
            K   39.098  0.862    190
            Ca  40.078  1.55     191
            Sc  44.956  2.989    216
            Ti  47.867  4.54     233
            V   50.942  6.11     245
            Cr  51.996  7.18     257
            Mn  54.938  7.44     272
            Fe  55.845  7.874    286
            Co  58.933  8.9      297
            Ni  58.693  8.902    311
            Cu  63.546  8.96     322
            Zn  65.38   7.133    330
            Ga  69.723  5.904    334
            Ge  72.630  5.323    350
            As  74.922  5.73     347
            Se  78.971  4.5      348
            Br  79.904  7.072e-3 343
            Kr  83.798  3.478e-3 352
            Rb  85.468  1.532    363
            Sr  87.62   2.54     366
            Y   88.906  4.469    379
            Zr  91.224  6.506    393
            Nb  92.906  8.57     417
            Mo  95.95   10.22    424
            Tc  97      11.5     428
            Ru  101.07  12.41    441
            Rh  102.91  12.41    449
            Pd  106.42  12.02    470
            Ag  107.87  10.5     470
            Cd  112.41  8.65     469
            In  114.82  7.31     488
            Sn  118.71  7.31     488
            Sb  121.76  6.691    487
            Te  127.60  6.24     485
            I   126.90  4.93     491
            Xe  131.29  5.485e-3 482
            Cs  132.91  1.873    488
            Ba  137.33  3.5      491
            La  138.91  6.154    501
            Ce  140.12  6.657    523
            Pr  140.91  6.71     535
            Nd  144.24  6.9      546
            Pm  145     7.22     560
            Sm  150.36  7.46     574
            Eu  151.96  5.243    580
            Gd  157.25  7.9      591
            Tb  158.93  8.229    614
            Dy  162.50  8.55     628
            Ho  164.93  8.795    650
            Er  167.26  9.066    658
            Tm  168.93  9.321    674
            Yb  173.05  6.73     684
            Lu  174.97  9.84     694
            Hf  178.49  13.31    705
            Ta  180.95  16.654   718
            W   183.84  19.3     727
            Re  186.21  21.02    736
            Os  190.23  22.57    746
            Ir  192.22  22.42    757
            Pt  195.08  21.45    790
            Au  196.97  19.32    790
            Hg  200.59  13.55    800
            Tl  204.38  11.72    810
            Pb  207.2   11.35    823
            Bi  208.98  9.747    823
            Po  209     9.32     830
            At  210     9.32     825
            Rn  222     9.066e-3 794
            Fr  223     10       827
            Ra  226     5        826
            Ac  227     10.07    841
            Th  232.04  11.72    847
            Pa  231.04  15.37    878
            U   238.03  18.95    890
            Np  237     20.25    902
            Pu  244     19.84    921
            Am  243     13.67    934
            Cm  247     13.51    939
            Bk  247     14       952
            Cf  251     10       966
            """;

    private static final Set<String> PUBLISHED = Set.of("H", "C", "O", "Si", "Cr", "Ga", "As", "Ta", "W", "Au");

    private static final List<Element> ALL = parse();

    private static List<Element> parse() {
        List<Element> all = new ArrayList<>();
        for (String line : TABLE.lines().toList()) {
            String[] f = line.trim().split(" +");
            all.add(new Element(
                    all.size() + 1,
                    f[0],
                    Double.parseDouble(f[1]),
                    Double.parseDouble(f[2]),
                    Double.parseDouble(f[3])));
        }
        return List.copyOf(all);
    }

    /** {@return the elements known here, hydrogen to californium, by atomic number} */
    public static List<Element> all() {
        return ALL;
    }

    /** {@return whether the mean excitation energy was read again where it is published; else it is from memory} */
    public boolean published() {
        return PUBLISHED.contains(symbol);
    }

    /** The element of that symbol, if there is one. */
    static Optional<Element> find(String symbol) {
        return ALL.stream().filter(e -> e.symbol.equals(symbol)).findFirst();
    }

    /**
     * {@return the element of that symbol}
     *
     * @param symbol its symbol, as in Si
     * @throws IllegalArgumentException if there is none
     */
    static Element of(String symbol) {
        return find(symbol)
                .orElseThrow(() -> new IllegalArgumentException(
                        String.format(Locale.ROOT, "no element has the symbol \"%s\"", symbol)));
    }

    /**
     * Mean excitation energy in a solid compound, eV: the values ICRU Report 37 gives for H, C, N, O, F and Cl in solids, and
     * 1.13 times that of the element for all others (its rule; from memory).
     */
    double meanExcitationInCompoundEv() {
        return switch (symbol) {
            case "H" -> 19.2;
            case "C" -> 81.0;
            case "N" -> 82.0;
            case "O" -> 106.0;
            case "F" -> 112.0;
            case "Cl" -> 180.0;
            default -> 1.13 * meanExcitationEv;
        };
    }
}
