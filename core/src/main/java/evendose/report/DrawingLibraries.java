package evendose.report;

import java.util.List;

/**
 * The libraries that draw plots. They are optional: correcting, verifying and writing tables does without. Everything public that
 * draws plots asks here first. A class that does so must be one that Java links without them, so methods of it hand charts on as
 * what they are, not as one of their supertypes; {@code WithoutDrawingLibrariesTest} holds that.
 */
public final class DrawingLibraries {
    private record Library(String artifact, String aClass) {}

    private static final List<Library> ALL = List.of(
            new Library("org.knowm.xchart:xchart", "org.knowm.xchart.XYChart"),
            new Library("org.apache.xmlgraphics:batik-svggen", "org.apache.batik.svggen.SVGGraphics2D"));

    private DrawingLibraries() {}

    /**
     * Returns if all of them are there.
     *
     * @throws MissingLibraryException if one is missing
     */
    public static void require() {
        List<String> missing = ALL.stream()
                .filter(library -> !isThere(library.aClass()))
                .map(Library::artifact)
                .toList();
        if (!missing.isEmpty()) {
            throw new MissingLibraryException("plots are drawn by optional libraries; add to the dependencies: "
                    + String.join(" and ", missing) + " (versions: see the pom of evendose)");
        }
    }

    private static boolean isThere(String name) {
        try {
            Class.forName(name, false, DrawingLibraries.class.getClassLoader());
            return true;
        } catch (ClassNotFoundException e) {
            return false;
        }
    }
}
