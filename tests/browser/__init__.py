"""Every page as a browser shows it. A package, so that the browser is stopped when the tests of this folder are done."""
