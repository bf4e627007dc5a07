package evendose.units;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.calibration.MeasurementFile;
import evendose.correction.ContrastCurve;
import evendose.files.BadInputException;
import evendose.psf.MeasuredProfile;
import evendose.psf.PsfFile;
import evendose.scattering.LayerStack;
import evendose.writing.BeamTable;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import java.util.function.Consumer;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Numbers in another unit than they should be, in all files that people write. */
class PlausibleTest {
    @TempDir
    Path folder;

    /** The numbers are those that a slip gives: silicon in kg/m^3, a micrometre in metres, and so on. */
    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "DENSITY | 2330 | 2330 g/cm^3 cannot be meant (0.03 to 25); if it is in kg/m^3, write 2.33",
                "DENSITY | 0.00233 | 0.00233 g/cm^3 cannot be meant (0.03 to 25); if it is in kg/cm^3, write 2.33",
                "DENSITY | 1e9 | 1e+09 g/cm^3 cannot be meant (0.03 to 25)",
                "THICKNESS | 1e-6 | 1e-06 nm cannot be meant (0.1 to 1e+08); if it is in m, write 1000",
                "RESIST_THICKNESS | 0.3 | 0.3 nm cannot be meant (1 to 1e+06); if it is in um, write 300",
                "RESIST_THICKNESS | 3e8 | 3e+08 nm cannot be meant (1 to 1e+06); if it is in pm, write 300000",
                "ENERGY | 100000 | 100000 keV cannot be meant (0.1 to 1000); if it is in eV, write 100",
                "DIRECT_RANGE | 12 | 12 um cannot be meant (0.0001 to 5); if it is in nm, write 0.012",
                "RANGE | 9.5e-6 | 9.5e-06 um cannot be meant (0.0001 to 100000); if it is in m, write 9.5",
                "PROFILE_RADIUS | 75000 | 75000 um cannot be meant (0.05 to 10000); if it is in nm, write 75",
                "CURRENT | 2e-9 | 2e-09 nA cannot be meant (0.0001 to 1000); if it is in A, write 2",
                "CURRENT | 2000 | 2000 nA cannot be meant (0.0001 to 1000); if it is in pA, write 2",
                "BEAM | 0.005 | 0.005 nm cannot be meant (0.1 to 10000); if it is in um, write 5",
                "DOSE | 3.75e-4 | 0.000375 uC/cm^2 cannot be meant (0.1 to 1e+06); if it is in C/cm^2, write 375"
            })
    void theLikelyUnitIsTold(Plausible quantity, double value, String told) {
        assertEquals(Optional.of(told), quantity.objection(value));
    }

    @ParameterizedTest
    @CsvSource({
        "DENSITY, 22.6",
        "THICKNESS, 0.34",
        "RESIST_THICKNESS, 5",
        "DIRECT_RANGE, 0.002",
        "RANGE, 30000",
        "DOSE, 8"
    })
    void oddValuesAreTaken(Plausible quantity, double value) {
        assertEquals(Optional.empty(), quantity.objection(value));
    }

    private void refused(String name, String content, Consumer<Path> reader, String message) throws IOException {
        Path file = Files.writeString(folder.resolve(name), content);
        BadInputException e = assertThrows(BadInputException.class, () -> reader.accept(file));
        assertEquals(file + message, e.getMessage());
    }

    @Test
    void everyReaderAsks() throws IOException {
        String stack = "{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":%s,\"resist\":true},"
                + "{\"material\":{\"formula\":\"Si\",\"density_g_per_cm3\":%s},\"thickness_nm\":%s}]}";
        refused(
                "resist.json",
                String.format(stack, "0.3", "2.33", "500"),
                LayerStack::read,
                ", layers[0].thickness_nm: 0.3 nm cannot be meant (1 to 1e+06); if it is in um, write 300");
        refused(
                "density.json",
                String.format(stack, "300", "2330", "500"),
                LayerStack::read,
                ", layers[1].material.density_g_per_cm3: 2330 g/cm^3 cannot be meant (0.03 to 25); if it is in kg/m^3,"
                        + " write 2.33");
        refused(
                "thin.json",
                String.format(stack, "300", "2.33", "1e-6"),
                LayerStack::read,
                ", layers[1].thickness_nm: 1e-06 nm cannot be meant (0.1 to 1e+08); if it is in m, write 1000");
        refused(
                "psf.json",
                "{\"terms\":[{\"weight\":0.6,\"range_um\":12},{\"weight\":0.4,\"range_um\":31000}]}",
                PsfFile::read,
                ", terms[0].range_um: 12 um cannot be meant (0.0001 to 5); if it is in nm, write 0.012");
        refused(
                "energy.json",
                "{\"terms\":[{\"weight\":1,\"range_um\":0.01}],\"energy_kev\":100000}",
                PsfFile::read,
                ", energy_kev: 100000 keV cannot be meant (0.1 to 1000); if it is in eV, write 100");
        refused(
                "beam.csv",
                "current_na,beam_nm\n1e-9,5\n",
                BeamTable::read,
                ", line 2: current_na: 1e-09 nA cannot be meant (0.0001 to 1000); if it is in A, write 1");
        refused(
                "spot.csv",
                "current_na,beam_nm\n1,0.005\n",
                BeamTable::read,
                ", line 2: beam_nm: 0.005 nm cannot be meant (0.1 to 10000); if it is in um, write 5");
        refused(
                "profile.csv",
                "radius_um,density_per_um2\n3,5\n10,4\n100,3\n1000,2\n75000,1\n",
                MeasuredProfile::read,
                ": the largest radius: 75000 um cannot be meant (0.05 to 10000); if it is in nm, write 75");
        refused(
                "contrast.csv",
                "dose_uc_per_cm2,remaining_nm\n1e-4,400\n2e-4,0\n",
                ContrastCurve::read,
                ", line 2: dose_uc_per_cm2: 0.0001 uC/cm^2 cannot be meant (0.1 to 1e+06); if it is in C/cm^2, write 100");
        refused(
                "measured.csv",
                "measurement,inner_radius_um,outer_radius_um,last_uncleared_uc_per_cm2,first_cleared_uc_per_cm2\n"
                        + "clearing,5,80,3.75e-4,3.9e-4\n",
                MeasurementFile::read,
                ", line 2: last_uncleared_uc_per_cm2: 0.000375 uC/cm^2 cannot be meant (0.1 to 1e+06); if it is in"
                        + " C/cm^2, write 375");
    }
}
