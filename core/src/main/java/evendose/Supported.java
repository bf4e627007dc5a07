package evendose;

import java.lang.annotation.Documented;
import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;

/**
 * A type that programs may build on, with the types nested in it: it changes only in ways that break no caller, except for members marked
 * {@link Internal}. All other public types are public for the project's own packages, and may change or go with any version.
 *
 * <p>Supported types speak of nothing but supported types and those of Java; {@code SupportedTest} holds that.
 */
@Documented
@Target(ElementType.TYPE)
@Retention(RetentionPolicy.CLASS)
public @interface Supported {}
