package evendose;

import static com.tngtech.archunit.library.Architectures.layeredArchitecture;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;

import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;

/** The arrows between packages, as DEVELOPERS.md draws them. */
@AnalyzeClasses(packages = "evendose", importOptions = ImportOption.DoNotIncludeTests.class)
class ArchitectureTest {
    @ArchTest
    static final ArchRule ARROWS = layeredArchitecture()
            .consideringOnlyDependenciesInLayers()
            .withOptionalLayers(true)
            .layer("units")
            .definedBy("evendose.units..")
            .layer("files")
            .definedBy("evendose.files..")
            .layer("parallel")
            .definedBy("evendose.parallel..")
            .layer("geometry")
            .definedBy("evendose.geometry..")
            .layer("layout")
            .definedBy("evendose.layout..")
            .layer("psf")
            .definedBy("evendose.psf..")
            .layer("pieces")
            .definedBy("evendose.pieces..")
            .layer("energy")
            .definedBy("evendose.energy..")
            .layer("correction")
            .definedBy("evendose.correction..")
            .layer("tiles")
            .definedBy("evendose.tiles..")
            .layer("scattering")
            .definedBy("evendose.scattering..")
            .layer("calibration")
            .definedBy("evendose.calibration..")
            .layer("writing")
            .definedBy("evendose.writing..")
            .layer("verification")
            .definedBy("evendose.verification..")
            .layer("report")
            .definedBy("evendose.report..")
            .whereLayer("units")
            .mayNotAccessAnyLayer()
            .whereLayer("files")
            .mayNotAccessAnyLayer()
            .whereLayer("parallel")
            .mayNotAccessAnyLayer()
            .whereLayer("geometry")
            .mayOnlyAccessLayers("units", "parallel")
            .whereLayer("layout")
            .mayOnlyAccessLayers("geometry", "units", "files", "parallel")
            .whereLayer("psf")
            .mayOnlyAccessLayers("units", "files")
            .whereLayer("pieces")
            .mayOnlyAccessLayers("geometry", "layout", "units", "parallel")
            .whereLayer("energy")
            .mayOnlyAccessLayers("pieces", "psf", "units", "parallel")
            .whereLayer("correction")
            .mayOnlyAccessLayers("energy", "pieces", "psf", "layout", "geometry", "units", "files", "parallel")
            .whereLayer("tiles")
            .mayOnlyAccessLayers(
                    "correction", "energy", "pieces", "psf", "layout", "geometry", "units", "files", "parallel")
            .whereLayer("scattering")
            .mayOnlyAccessLayers("psf", "units", "files", "parallel")
            .whereLayer("calibration")
            .mayOnlyAccessLayers("psf", "energy", "pieces", "layout", "geometry", "units", "files", "parallel")
            .whereLayer("writing")
            .mayOnlyAccessLayers("correction", "pieces", "layout", "units", "files", "parallel")
            .whereLayer("verification")
            .mayOnlyAccessLayers(
                    "energy", "correction", "pieces", "psf", "layout", "geometry", "units", "files", "parallel");

    @ArchTest
    static final ArchRule NO_CYCLES =
            slices().matching("evendose.(*)..").should().beFreeOfCycles();
}
