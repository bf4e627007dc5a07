package evendose.cli;

import java.nio.file.Files;
import java.nio.file.Path;

/** The command line in a process that makes a file when its main thread is first seen in a given class. */
final class RunUntil {
    private RunUntil() {}

    /** Arguments: name of the class, file to make, and the command line's own. */
    public static void main(String[] args) {
        Thread main = Thread.currentThread();
        Thread watch = new Thread(() -> {
            try {
                while (!isIn(main, args[0])) {
                    Thread.sleep(1);
                }
                Files.createFile(Path.of(args[1]));
            } catch (Exception e) {
                e.printStackTrace();
            }
        });
        watch.setDaemon(true);
        watch.start();
        String[] own = new String[args.length - 2];
        System.arraycopy(args, 2, own, 0, own.length);
        Main.main(own);
    }

    private static boolean isIn(Thread thread, String className) {
        for (StackTraceElement frame : thread.getStackTrace()) {
            if (frame.getClassName().equals(className)) {
                return true;
            }
        }
        return false;
    }
}
