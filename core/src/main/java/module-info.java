/**
 * The library. What is exported are the packages that hold types marked {@link evendose.Supported}; a program on the class path sees the
 * others as well, without a promise.
 */
@SuppressWarnings("requires-automatic") // Some libraries are no modules yet.
module evendose.core {
    requires com.fasterxml.jackson.databind;
    requires commons.math3;
    requires ejml.core;
    requires ejml.ddense;
    requires java.desktop;
    requires JTransforms;
    requires org.apache.commons.csv;
    requires org.apache.commons.numbers.gamma;
    requires org.apache.commons.rng.api;
    requires org.apache.commons.rng.simple;
    requires static org.apache.xmlgraphics.batik.svggen;
    requires static xchart;

    exports evendose;
    exports evendose.correction;
    exports evendose.files;
    exports evendose.layout;
    exports evendose.layout.formats;
    exports evendose.parallel;
    exports evendose.pieces;
    exports evendose.psf;
    exports evendose.verification;
}
