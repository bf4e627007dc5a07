package evendose.cli;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;

import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;

/** The runnable jar runs without Spark: only what spark-submit starts knows it, and that computes nothing. */
@AnalyzeClasses(packages = "evendose", importOptions = ImportOption.DoNotIncludeTests.class)
class SparkArrowsTest {
    @ArchTest
    static final ArchRule ONLY_ONE_ROOM_KNOWS_SPARK = noClasses()
            .that()
            .resideOutsideOfPackage("evendose.cli.spark")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage(
                    "evendose.cli.spark",
                    "org.apache.spark..",
                    "org.apache.parquet..",
                    "org.apache.hadoop..",
                    "scala..");

    /** And writes what others have found, pieces on their layers. */
    @ArchTest
    static final ArchRule IT_ONLY_RUNS = noClasses()
            .that()
            .resideInAPackage("evendose.cli.spark")
            .should()
            .dependOnClassesThat()
            .resideInAnyPackage(
                    "evendose.energy..",
                    "evendose.psf..",
                    "evendose.geometry..",
                    "evendose.verification..",
                    "evendose.report..");
}
