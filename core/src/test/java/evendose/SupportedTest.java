package evendose;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaCodeUnit;
import com.tngtech.archunit.core.domain.JavaField;
import com.tngtech.archunit.core.domain.JavaMember;
import com.tngtech.archunit.core.domain.JavaModifier;
import com.tngtech.archunit.core.domain.JavaType;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchCondition;
import com.tngtech.archunit.lang.ArchRule;
import com.tngtech.archunit.lang.ConditionEvents;
import com.tngtech.archunit.lang.SimpleConditionEvent;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** What programs may build on holds together, and says what it hands out. */
@AnalyzeClasses(packages = "evendose", importOptions = ImportOption.DoNotIncludeTests.class)
class SupportedTest {
    @ArchTest
    static final ArchRule SPEAK_OF_SUPPORTED_TYPES_ONLY = classes()
            .that()
            .arePublic()
            .and()
            .areAnnotatedWith(Supported.class)
            .or()
            .areMemberClasses()
            .should(new SpeakOfSupportedTypes());

    private static boolean isSupported(JavaClass type) {
        return type.isAnnotatedWith(Supported.class)
                || type.getEnclosingClass().map(SupportedTest::isSupported).orElse(false);
    }

    private static final class SpeakOfSupportedTypes extends ArchCondition<JavaClass> {
        SpeakOfSupportedTypes() {
            super("speak of supported types only");
        }

        @Override
        public void check(JavaClass type, ConditionEvents events) {
            if (!isSupported(type) || !type.getModifiers().contains(JavaModifier.PUBLIC)) {
                return;
            }
            Set<JavaClass> told = new HashSet<>(type.getAllRawSuperclasses());
            told.addAll(type.getAllRawInterfaces());
            told(type.getName(), told, events);
            for (JavaMember member : type.getMembers()) {
                boolean open = member.getModifiers().contains(JavaModifier.PUBLIC)
                        || member.getModifiers().contains(JavaModifier.PROTECTED);
                if (open && !member.isAnnotatedWith(Internal.class)) {
                    told(member.getFullName(), types(member), events);
                }
            }
        }

        private static Set<JavaClass> types(JavaMember member) {
            Set<JavaClass> types = new HashSet<>();
            if (member instanceof JavaField field) {
                types.addAll(field.getType().getAllInvolvedRawTypes());
            }
            if (member instanceof JavaCodeUnit code) {
                types.addAll(code.getReturnType().getAllInvolvedRawTypes());
                types.addAll(code.getExceptionTypes());
                for (JavaType parameter : code.getParameterTypes()) {
                    types.addAll(parameter.getAllInvolvedRawTypes());
                }
            }
            return types;
        }

        private static void told(String where, Set<JavaClass> types, ConditionEvents events) {
            for (JavaClass type : types) {
                JavaClass element = type.getBaseComponentType();
                boolean java = element.isPrimitive() || element.getPackageName().startsWith("java.");
                boolean fine = java || isSupported(element);
                events.add(new SimpleConditionEvent(type, fine, where + " speaks of " + element.getName()));
            }
        }
    }

    private static Stream<Path> sources() throws IOException {
        return Files.walk(TestData.file("../core/src/main/java"))
                .filter(file -> file.toString().endsWith(".java"))
                .sorted();
    }

    /** The list in full, so that nothing becomes a promise, or ceases to be one, by accident. */
    private static final String SURFACE = """
            correction: Convergence CorrectedLayout CorrectionOptions Corrector Criterion DevelopmentLoading DoseLevels \
            DoseStatus DoseTable DoseTableCsv DoseTableReader DrawnPattern Fogging LayerRole LevelRule LevelTrial \
            LongRange MemoryLimitException OutlineError PolygonDoses StoredDoses
            files: BadInputException
            layout: DatabaseUnit Flattener Layer Layout LayoutBuilder
            layout.formats: LayoutFiles LayoutFormat
            parallel: Progress
            pieces: PieceRules Pieces
            psf: GaussianTerm PointSpreadFunction PsfFile PsfPreset PsfPresets RadialModel RadialTable TableTerm
            verification: GaugePlace LineWidth PredictedWidths WidthGauge
            """;

    @Test
    void theSurfaceIsThis() throws IOException {
        Map<String, List<String>> found = new TreeMap<>();
        try (Stream<Path> sources = sources()) {
            for (Path source : sources.toList()) {
                String text = Files.readString(source);
                if (text.contains("\n@Supported\npublic ")) {
                    String room = text.replaceAll("(?s).*?package evendose\\.([a-z.]+);.*", "$1");
                    found.computeIfAbsent(room, r -> new ArrayList<>())
                            .add(source.getFileName().toString().replace(".java", ""));
                }
            }
        }
        StringBuilder list = new StringBuilder();
        found.forEach((room, types) ->
                list.append(room).append(": ").append(String.join(" ", types)).append('\n'));
        assertEquals(SURFACE, list.toString());
    }

    /** An array can be changed by whoever gets it: each public method that gives one says whether that matters. */
    @Test
    void arraysThatAreHandedOutAreSaidToBeCopiesOrLive() throws IOException {
        Pattern gives = Pattern.compile(
                "(/\\*\\*(?:(?!\\*/).)*\\*/)?\\s*\\n    (?:@\\w+\\n    )*public (?:static )?"
                        + "((?:double|float|int|long|boolean|[A-Z]\\w*)(?:\\[])+|(?:Optional|List)<\\w+\\[]>) (\\w+)\\(",
                Pattern.DOTALL);
        List<String> unsaid = new ArrayList<>();
        int count = 0;
        try (Stream<Path> sources = sources()) {
            for (Path source : sources.toList()) {
                String text = Files.readString(source);
                if (!Pattern.compile("(?m)^public ").matcher(text).find()) {
                    continue;
                }
                Matcher method = gives.matcher(text);
                while (method.find()) {
                    count++;
                    String doc = method.group(1) == null ? "" : method.group(1);
                    boolean inherited = doc.isEmpty() && method.group().contains("@Override");
                    if (!inherited && !doc.matches("(?s).*(new array|copy|copied|[Nn]ot to be changed).*")) {
                        unsaid.add(source.getFileName() + ": " + method.group(3));
                    }
                }
            }
        }
        assertTrue(count > 30);
        assertEquals(List.of(), unsaid);
    }

    /** What a record generates compares arrays by what they are, not by what they hold. */
    @Test
    void publicRecordsWithArraysCompareThemByWhatTheyHold() throws IOException {
        Pattern record = Pattern.compile("public record (\\w+)\\(([^{]*?)\\)[^{]*\\{");
        List<String> unequal = new ArrayList<>();
        int count = 0;
        try (Stream<Path> sources = sources()) {
            for (Path source : sources.toList()) {
                String text = Files.readString(source);
                Matcher found = record.matcher(text);
                while (Pattern.compile("(?m)^public ").matcher(text).find() && found.find()) {
                    if (found.group(2).contains("[]")) {
                        count++;
                        if (!text.contains(found.group(1) + " o && Arrays.deepEquals(values(), o.values())")) {
                            unequal.add(found.group(1));
                        }
                    }
                }
            }
        }
        assertTrue(count >= 7);
        assertEquals(List.of(), unequal);
    }
}
