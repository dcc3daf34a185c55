import java.io.FileInputStream;
import java.io.InputStream;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/**
 * Checks PDF files against profiles of the veraPDF engine; see conformance.py, which starts it.
 *
 * <p>Arguments: profiles with commas between them, then files. For each file and profile a line:
 * path, profile, number of assertions, number of rules broken, separated by tabs; below it an
 * indented line for each broken rule. Ends with 1 if a rule is broken, else with 0.
 */
public final class Conformance {
  private static final int MOST_FAILURES = 10_000;

  private Conformance() {}

  public static void main(String[] arguments) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    boolean sound = true;
    for (int index = 1; index < arguments.length; index++) {
      for (String profile : arguments[0].split(",")) {
        sound &= check(arguments[index], PDFAFlavour.fromString(profile));
      }
    }
    System.exit(sound ? 0 : 1);
  }

  private static boolean check(String path, PDFAFlavour profile) throws Exception {
    try (InputStream file = new FileInputStream(path);
        PDFAParser parser = Foundries.defaultInstance().createParser(file, profile)) {
      PDFAValidator validator =
          Foundries.defaultInstance().createValidator(profile, MOST_FAILURES, false, false, false);
      ValidationResult result = validator.validate(parser);
      Map<String, List<String>> broken = brokenRules(result);
      System.out.printf(
          "%s\t%s\t%d\t%d%n", path, profile, result.getTotalAssertions(), broken.size());
      broken.forEach(
          (rule, messages) ->
              System.out.printf("    %s, %d times: %s%n", rule, messages.size(), messages.get(0)));
      return result.isCompliant();
    }
  }

  /** The messages of each broken rule, by clause and number. */
  private static Map<String, List<String>> brokenRules(ValidationResult result) {
    Map<String, List<String>> broken = new TreeMap<>();
    for (TestAssertion one : result.getTestAssertions()) {
      if (one.getStatus() == TestAssertion.Status.FAILED) {
        String rule = one.getRuleId().getClause() + "-" + one.getRuleId().getTestNumber();
        broken.computeIfAbsent(rule, key -> new ArrayList<>()).add(one.getMessage());
      }
    }
    return broken;
  }
}
