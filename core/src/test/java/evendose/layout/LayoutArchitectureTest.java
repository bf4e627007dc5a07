package evendose.layout;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;

import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;

/** Inside the layout packages: formats know the layout, the front door knows the formats, and never the other way round. */
@AnalyzeClasses(packages = "evendose.layout", importOptions = ImportOption.DoNotIncludeTests.class)
class LayoutArchitectureTest {
    @ArchTest
    static final ArchRule LAYOUT_KNOWS_NO_FORMAT = noClasses()
            .that()
            .resideInAPackage("evendose.layout")
            .should()
            .dependOnClassesThat()
            .resideInAPackage("evendose.layout.*..");

    @ArchTest
    static final ArchRule FORMATS_DO_NOT_KNOW_EACH_OTHER =
            slices().matching("evendose.layout.(gdsii|csv|oasis)..").should().notDependOnEachOther();

    @ArchTest
    static final ArchRule NO_FORMAT_KNOWS_THE_FRONT_DOOR = noClasses()
            .that()
            .resideOutsideOfPackage("evendose.layout.formats..")
            .should()
            .dependOnClassesThat()
            .resideInAPackage("evendose.layout.formats..");
}
