package evendose.scattering;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * A chemical element.
 *
 * <p>Atomic weights: IUPAC standard values, rounded to five digits (of elements without one, the mass number of the
 * longest-lived isotope). Mean excitation energies: ICRU Report 37 (1984), as the NIST tables use them; those of H, C, O, Si,
 * Cr, Ga, As, Ta, W and Au were read again at NIST, the others are from memory.
 *
 * @param atomicNumber Z, from 1
 * @param symbol chemical symbol
 * @param atomicWeight A, g/mol
 * @param meanExcitationEv I of the element by itself, eV
 */
public record Element(int atomicNumber, String symbol, double atomicWeight, double meanExcitationEv) {
    private static final String TABLE = """
            H   1.008   19.2
            He  4.0026  41.8
            Li  6.94    40
            Be  9.0122  63.7
            B   10.81   76
            C   12.011  81.0
            N   14.007  82
            O   15.999  95.0
            F   18.998  115
            Ne  20.180  137
            Na  22.990  149
            Mg  24.305  156
            Al  26.982  166
            Si  28.085  173
            P   30.974  173
            S   32.06   180
            Cl  35.45   174
            Ar  39.95   188
            K   39.098  190
            Ca  40.078  191
            Sc  44.956  216
            Ti  47.867  233
            V   50.942  245
            Cr  51.996  257
            Mn  54.938  272
            Fe  55.845  286
            Co  58.933  297
            Ni  58.693  311
            Cu  63.546  322
            Zn  65.38   330
            Ga  69.723  334
            Ge  72.630  350
            As  74.922  347
            Se  78.971  348
            Br  79.904  343
            Kr  83.798  352
            Rb  85.468  363
            Sr  87.62   366
            Y   88.906  379
            Zr  91.224  393
            Nb  92.906  417
            Mo  95.95   424
            Tc  97      428
            Ru  101.07  441
            Rh  102.91  449
            Pd  106.42  470
            Ag  107.87  470
            Cd  112.41  469
            In  114.82  488
            Sn  118.71  488
            Sb  121.76  487
            Te  127.60  485
            I   126.90  491
            Xe  131.29  482
            Cs  132.91  488
            Ba  137.33  491
            La  138.91  501
            Ce  140.12  523
            Pr  140.91  535
            Nd  144.24  546
            Pm  145     560
            Sm  150.36  574
            Eu  151.96  580
            Gd  157.25  591
            Tb  158.93  614
            Dy  162.50  628
            Ho  164.93  650
            Er  167.26  658
            Tm  168.93  674
            Yb  173.05  684
            Lu  174.97  694
            Hf  178.49  705
            Ta  180.95  718
            W   183.84  727
            Re  186.21  736
            Os  190.23  746
            Ir  192.22  757
            Pt  195.08  790
            Au  196.97  790
            Hg  200.59  800
            Tl  204.38  810
            Pb  207.2   823
            Bi  208.98  823
            Po  209     830
            At  210     825
            Rn  222     794
            Fr  223     827
            Ra  226     826
            Ac  227     841
            Th  232.04  847
            Pa  231.04  878
            U   238.03  890
            Np  237     902
            Pu  244     921
            Am  243     934
            Cm  247     939
            Bk  247     952
            Cf  251     966
            """;

    private static final List<Element> ALL = parse();

    private static List<Element> parse() {
        List<Element> all = new ArrayList<>();
        for (String line : TABLE.lines().toList()) {
            String[] f = line.trim().split(" +");
            all.add(new Element(all.size() + 1, f[0], Double.parseDouble(f[1]), Double.parseDouble(f[2])));
        }
        return List.copyOf(all);
    }

    /** The elements known here, hydrogen to californium, by atomic number. */
    public static List<Element> all() {
        return ALL;
    }

    /** The element of that symbol, if there is one. */
    public static Optional<Element> find(String symbol) {
        return ALL.stream().filter(e -> e.symbol.equals(symbol)).findFirst();
    }

    /**
     * The element of that symbol.
     *
     * @throws IllegalArgumentException if there is none
     */
    public static Element of(String symbol) {
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
