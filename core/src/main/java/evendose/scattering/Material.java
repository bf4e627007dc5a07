package evendose.scattering;

import evendose.units.Range;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * A homogeneous material.
 *
 * @param name what to call it
 * @param formula its chemical formula
 * @param components its elements with their mass fractions, which sum to 1
 * @param densityGPerCm3 density, g/cm^3, positive
 * @param meanExcitationEv mean excitation energy I, eV, above 0 and at most 1100 (californium: 966)
 * @param source where density and mean excitation energy come from
 */
public record Material(
        String name,
        String formula,
        List<Component> components,
        double densityGPerCm3,
        double meanExcitationEv,
        String source) {
    /**
     * One element of a material.
     *
     * @param element the element
     * @param massFraction its share of the mass, above 0 and at most 1
     */
    public record Component(Element element, double massFraction) {}

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Material {
        components = List.copyOf(components);
        if (components.isEmpty()) {
            throw new IllegalArgumentException("a material needs at least one element");
        }
        double sum = components.stream().mapToDouble(Component::massFraction).sum();
        if (!(Math.abs(sum - 1) < 1e-9)) {
            throw new IllegalArgumentException("mass fractions of " + name + " sum to " + sum);
        }
        Range.positive("density of " + name, densityGPerCm3);
        if (!(meanExcitationEv > 0 && meanExcitationEv <= 1100)) {
            throw new IllegalArgumentException("mean excitation energy of " + name
                    + " must be above 0 and at most 1100 eV, got " + meanExcitationEv);
        }
    }

    /**
     * {@return a material of a chemical formula, with the mean excitation energy by Bragg's rule,
     * {@code ln I = sum_i w_i (Z/A)_i ln I_i / sum_i w_i (Z/A)_i}, w the mass fractions; that of a pure element is its own}
     *
     * @param name how the material is called
     * @param formula for instance {@code C5H8O2}, {@code HSiO1.5}, {@code Al0.3Ga0.7As} or {@code (CH2)2O}
     * @param densityGPerCm3 density, g/cm^3
     * @param source where the numbers come from
     * @throws IllegalArgumentException if the formula cannot be read or the density is not positive
     */
    static Material of(String name, String formula, double densityGPerCm3, String source) {
        List<Component> components = components(formula);
        return new Material(name, formula, components, densityGPerCm3, braggEv(components), source);
    }

    /** This material with a mean excitation energy (eV) measured for it. */
    Material withMeanExcitationEv(double energyEv) {
        return new Material(name, formula, components, densityGPerCm3, energyEv, source);
    }

    /** Mean of Z/A by mass, mol/g: electrons per gram in units of Avogadro's number. */
    double meanZOverA() {
        double sum = 0;
        for (Component c : components) {
            sum += c.massFraction() * c.element().atomicNumber() / c.element().atomicWeight();
        }
        return sum;
    }

    /** Mean atomic number by mass. */
    double meanZ() {
        return components.stream()
                .mapToDouble(c -> c.massFraction() * c.element().atomicNumber())
                .sum();
    }

    /** Mean atomic weight by mass, g/mol. */
    double meanA() {
        return components.stream()
                .mapToDouble(c -> c.massFraction() * c.element().atomicWeight())
                .sum();
    }

    private static double braggEv(List<Component> components) {
        if (components.size() == 1) {
            return components.get(0).element().meanExcitationEv();
        }
        double sum = 0;
        double norm = 0;
        for (Component c : components) {
            Element e = c.element();
            double electrons = c.massFraction() * e.atomicNumber() / e.atomicWeight();
            sum += electrons * Math.log(e.meanExcitationInCompoundEv());
            norm += electrons;
        }
        return Math.exp(sum / norm);
    }

    private static List<Component> components(String formula) {
        Map<Element, Double> atoms = new LinkedHashMap<>();
        int end = readGroup(formula, 0, 1, atoms, false);
        if (end != formula.length()) {
            throw unreadable(formula, end);
        }
        double mass = 0;
        for (Map.Entry<Element, Double> e : atoms.entrySet()) {
            mass += e.getKey().atomicWeight() * e.getValue();
        }
        List<Component> components = new ArrayList<>();
        for (Map.Entry<Element, Double> e : atoms.entrySet()) {
            components.add(new Component(e.getKey(), e.getKey().atomicWeight() * e.getValue() / mass));
        }
        return components;
    }

    /** Adds the atoms of the group that starts at {@code at}, and returns where it ends. */
    private static int readGroup(String formula, int at, double times, Map<Element, Double> atoms, boolean nested) {
        int i = at;
        Map<Element, Double> group = new LinkedHashMap<>();
        while (i < formula.length() && formula.charAt(i) != ')') {
            char c = formula.charAt(i);
            Map<Element, Double> part = new LinkedHashMap<>();
            if (c == '(') {
                i = readGroup(formula, i + 1, 1, part, true);
                if (i >= formula.length()) {
                    throw unreadable(formula, i);
                }
                i++;
            } else {
                int length = i + 1 < formula.length() && Character.isLowerCase(formula.charAt(i + 1)) ? 2 : 1;
                String symbol = formula.substring(i, i + length);
                Element element = Element.find(symbol).orElse(null);
                if (element == null) {
                    throw unreadable(formula, i);
                }
                part.put(element, 1.0);
                i += length;
            }
            int number = i;
            while (i < formula.length() && (Character.isDigit(formula.charAt(i)) || formula.charAt(i) == '.')) {
                i++;
            }
            double count = number == i ? 1 : count(formula, number, i);
            part.forEach((element, n) -> group.merge(element, n * count, Double::sum));
        }
        if (group.isEmpty() || (i < formula.length() && !nested)) {
            throw unreadable(formula, i);
        }
        group.forEach((element, n) -> atoms.merge(element, n * times, Double::sum));
        return i;
    }

    private static double count(String formula, int from, int to) {
        try {
            double count = Double.parseDouble(formula.substring(from, to));
            if (count > 0) {
                return count;
            }
        } catch (NumberFormatException e) {
            // Two dots in a number: told below, as any other slip.
        }
        throw unreadable(formula, from);
    }

    private static IllegalArgumentException unreadable(String formula, int at) {
        return new IllegalArgumentException("chemical formula \"" + formula + "\" cannot be read at character "
                + (at + 1) + "; write it like C5H8O2, HSiO1.5 or Al0.3Ga0.7As");
    }
}
