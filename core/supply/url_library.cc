// The one place where Boost.URL itself is compiled.
#include <boost/url/src.hpp>
