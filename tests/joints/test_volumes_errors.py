import pickle

from treenail.joints.volumes import NoClosedForm


def test_the_error_survives_a_process_border() -> None:
    error = pickle.loads(pickle.dumps(NoClosedForm("post: no closed form")))
    assert isinstance(error, NoClosedForm)
    assert str(error) == "post: no closed form"
