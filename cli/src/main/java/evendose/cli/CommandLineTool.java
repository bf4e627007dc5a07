package evendose.cli;

import evendose.correction.MemoryLimitException;
import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.files.OneLine;
import evendose.files.OutputFolder;
import java.io.OutputStream;
import java.io.OutputStreamWriter;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CancellationException;
import java.util.function.Consumer;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** The root command: parses, runs, and turns exceptions into one line and an exit code. */
@Command(
        name = "evendose",
        description = {
            "Corrects the proximity effect in electron-beam lithography: a dose for every shape of a layout, so that all of it"
                    + " develops at the drawn size."
        },
        synopsisSubcommandLabel = "COMMAND",
        mixinStandardHelpOptions = true,
        versionProvider = CommandLineTool.Version.class,
        subcommands = {
            CorrectCommand.class,
            VerifyCommand.class,
            MapCommand.class,
            EqualiseCommand.class,
            PlanCommand.class,
            CalibrateCommand.class,
            ScatterCommand.class,
            PsfCommand.class
        },
        footer = {
            "",
            "Exit codes: 0 done, 1 unexpected fault, 2 wrong command line, 3 bad input, 4 not converged or limit exceeded.",
            "'evendose COMMAND --help' shows the options of a command and an example.",
            "",
            "Computed doses are a starting point: they never replace a dose test on your own tool and process."
        })
public final class CommandLineTool implements Runnable {
    @CommandLine.Spec
    private CommandLine.Model.CommandSpec spec;

    @Option(
            names = "--debug",
            scope = CommandLine.ScopeType.INHERIT,
            description = "Show where in the program an error arose.")
    private boolean debug;

    private TileSite site = TileSite.HERE;

    private CommandLineTool() {}

    /** Where tiles are worked on. */
    TileSite site() {
        return site;
    }

    /** The root command with all others below it. */
    static CommandLine commandLine() {
        CommandLine line = new CommandLine(new CommandLineTool());
        line.setCaseInsensitiveEnumValuesAllowed(true);
        HelpPage.use(line);
        return line;
    }

    /** Runs the command that {@code args} names and returns its exit code; writes to the given streams only. */
    static int run(String[] args, OutputStream out, OutputStream err) {
        return run(args, out, err, TileSite.HERE);
    }

    /**
     * Runs a command.
     *
     * @param args its name and its arguments
     * @param out where results go
     * @param err where everything else goes
     * @param site where tiles are worked on
     * @return its exit code
     */
    public static int run(String[] args, OutputStream out, OutputStream err, TileSite site) {
        CommandLine line = commandLine();
        CommandLineTool tool = line.getCommand();
        tool.site = site;
        Outlet outlet = new Outlet(out);
        line.setOut(new PrintWriter(new OutputStreamWriter(outlet, StandardCharsets.UTF_8), true));
        line.setErr(new PrintWriter(new OutputStreamWriter(err, StandardCharsets.UTF_8), true));
        line.setParameterExceptionHandler((exception, arguments) -> {
            CommandLine command = exception.getCommandLine();
            command.getErr().println("evendose: " + oneLine(wrongWord(exception, arguments)));
            command.getErr().println("Try '" + command.getCommandSpec().qualifiedName() + " --help'.");
            return ExitCode.USAGE.number();
        });
        line.setExecutionExceptionHandler((exception, command, parsed) -> {
            if (Interruption.begun()) {
                return ExitCode.UNEXPECTED.number();
            }
            if (tool.debug) {
                exception.printStackTrace(command.getErr());
            }
            if (site == TileSite.HERE && exception instanceof MemoryLimitException memory && Heap.couldHold(memory)) {
                return Heap.runAgain(memory, args);
            }
            if (exception instanceof Heap.SmallerHeap smaller) {
                return Heap.runAgain(smaller, args);
            }
            return tell(exception, command.getErr()).number();
        });
        try {
            int code = line.execute(args);
            line.getOut().flush();
            if (outlet.failure().isPresent() && code == ExitCode.DONE.number()) {
                line.getErr()
                        .println("evendose: standard output cannot be written to ("
                                + OutputFolder.reason(outlet.failure().get()) + ")");
                return ExitCode.BAD_INPUT.number();
            }
            return code;
        } catch (OutOfMemoryError e) {
            line.getErr()
                    .println("evendose: not enough memory ("
                            + Runtime.getRuntime().maxMemory() / (1 << 20)
                            + " MB allowed); give more with java -Xmx, choose fewer layers or larger pieces");
            return ExitCode.LIMIT.number();
        } catch (Error e) {
            if (!MissingFonts.areThe(e)) {
                throw e;
            }
            return tell(e, line.getErr()).number();
        }
    }

    /** Names the first word that is not understood, with the one that was probably meant. */
    private static String wrongWord(CommandLine.ParameterException exception, String[] arguments) {
        if (exception instanceof CommandLine.MissingParameterException) {
            // What is missing may be there with a slip.
            CommandLine.Model.CommandSpec spec = exception.getCommandLine().getCommandSpec();
            for (String argument : arguments) {
                String name = argument.split("=", 2)[0];
                if (name.startsWith("--")
                        && !spec.optionsMap().containsKey(name)
                        && !spec.negatedOptionsMap().containsKey(name)) {
                    return "there is no option '" + name + "'"
                            + Nearest.question(name, spec.optionsMap().keySet());
                }
            }
        }
        if (!(exception instanceof CommandLine.UnmatchedArgumentException unmatched)
                || unmatched.getUnmatched().isEmpty()) {
            return exception.getMessage();
        }
        CommandLine command = exception.getCommandLine();
        String word = unmatched.getUnmatched().get(0);
        if (word.startsWith("-")) {
            String name = word.split("=", 2)[0];
            List<String> known =
                    new ArrayList<>(command.getCommandSpec().optionsMap().keySet());
            return "there is no option '" + name + "'" + Nearest.question(name, known);
        }
        return command.getSubcommands().isEmpty()
                ? "what is '" + word + "' for? There is one word too many"
                : "there is no command '" + word + "'"
                        + Nearest.question(word, command.getSubcommands().keySet());
    }

    private static ExitCode tell(Throwable exception, PrintWriter err) {
        if (MissingFonts.areThe(exception)) {
            err.println("evendose: " + MissingFonts.WORDS);
            return ExitCode.BAD_INPUT;
        }
        if (exception instanceof BadInputException) {
            err.println("evendose: " + oneLine(exception.getMessage()));
            return ExitCode.BAD_INPUT;
        }
        if (exception instanceof UsageException) {
            err.println("evendose: " + exception.getMessage());
            return ExitCode.USAGE;
        }
        if (exception instanceof LimitException || exception instanceof MemoryLimitException) {
            err.println("evendose: " + oneLine(exception.getMessage()));
            return ExitCode.LIMIT;
        }
        if (exception instanceof CancellationException) {
            err.println("evendose: interrupted; nothing was written");
            return ExitCode.UNEXPECTED;
        }
        err.println("evendose: unexpected fault: " + oneLine(String.valueOf(exception))
                + " (run again with --debug and report it)");
        return ExitCode.UNEXPECTED;
    }

    /** Text from files may hold control characters; they must not reach the terminal. */
    static String oneLine(String text) {
        return OneLine.of(String.valueOf(text));
    }

    /** A number to six digits without needless zeros. */
    static String plain(double value) {
        return NumberText.plain(value, 6);
    }

    /** Column at which the values of a result begin. */
    static final int VALUES = 15;

    /** Prints one line of a result: its name and what there is to tell. */
    static void row(PrintWriter out, String name, String format, Object... values) {
        out.printf("%-" + (VALUES - 1) + "s %s%n", name, oneLine(String.format(Locale.ROOT, format, values)));
    }

    /** Hands on the value of an option, if it was given. */
    static <T> void ifGiven(T value, Consumer<T> setter) {
        if (value != null) {
            setter.accept(value);
        }
    }

    @Override
    public void run() {
        throw new CommandLine.ParameterException(spec.commandLine(), "name a command, for instance 'correct'");
    }

    /** Reads the version that the build put into the jar. */
    static final class Version implements CommandLine.IVersionProvider {
        @Override
        public String[] getVersion() {
            return new String[] {"evendose " + number()};
        }

        static String number() {
            String version = CommandLineTool.class.getPackage().getImplementationVersion();
            return version == null ? "(not packaged)" : version;
        }
    }
}
